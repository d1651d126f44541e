"""Mission in, plan out."""

from briefgen.planning.assemble import plan_mission

__all__ = ["plan_mission"]
