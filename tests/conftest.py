"""How tests are run: on both cores, and none by the clock."""

from hypothesis import settings

# a busy machine is no fault of the boat's; the same examples every time, since a suite that lands or does not by luck
# says nothing (`tests/fuzz.py --seed` looks for new ones)
settings.register_profile("scrieve", deadline=None, derandomize=True)
settings.load_profile("scrieve")
