"""What several tests share, each module named after what it gives.

* ``demo_missions``: the demo missions, their plans and their built site, each made once in a run; copies of them with a line changed.
* ``timed_missions``: the demo mission with its times changed.
* ``demo_aircraft``: the demo aircraft, and the units the trade speaks in.
* ``simple_aircraft``: one airspeed and one fuel flow in a given wind, of which closed forms are true.
* ``range_points``: equal time and no return in closed form, against which the leg table is held.
* ``loading_cases``: an invented freighter with round figures, for load, balance and tanks.
* ``small_weathers``: a few soundings over a few points.
* ``review_scene``, ``review_cases``: a flight that keeps every rule, and each rule at, above and below its limit.
* ``invented_plan``: a plan typed by hand, for documents.
* ``bad_spec_cases``: the specifications with one fault each of ``tests/bad_specs``.
* ``published_rows``: the tables of ``tests/published``.
"""
