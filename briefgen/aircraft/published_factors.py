"""Published factors on take-off and landing distance, for what a chart has no axis for and beside what a model works out.

They are meant for light aeroplanes; the lists were seen on lesson pages, the documents themselves were not. Each row stands with
its provenance in tests/published/distance_factors.csv.
"""

from __future__ import annotations

SOURCE = "UK CAA Safety Sense Leaflet 7 and CAP 698 (EU-OPS class B), seen as quoted; meant for light aeroplanes"

# Against dry paving, take-off distance to 50 ft and landing distance from 50 ft. Soft ground is 'at least' its figure.
TAKE_OFF_SURFACES = {"paved dry": 1.0, "paved wet": 1.0, "firm turf": 1.2, "wet grass": 1.3, "soft": 1.25}
LANDING_SURFACES = {"paved dry": 1.0, "paved wet": 1.15, "firm turf": 1.15, "wet grass": 1.35, "soft": 1.25}

PER_UNIT_OF_SLOPE = 5.0  # 5 % a per cent uphill for the take-off, downhill for the landing; nothing is taken off
PER_SPEED_RATIO_OF_TAILWIND = 2.0  # 20 % for a tail wind of a tenth of the unstick or landing speed
