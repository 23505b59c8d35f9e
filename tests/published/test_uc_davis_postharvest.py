"""How long greens and herbs keep: University of California Davis, "Produce Facts" (seen; see shared/).

From the pages on spinach and fresh herbs, and a storage table.  Herbs keep 21 days at 0 degrees C and 14 at 5, spinach
at most 10 to 14 at 0; basil is to be kept above 10 degrees.  A household fridge is at 4 to 5 degrees.  Checks of an
outcome: our days, which count on a fridge and a cook who wants it crisp, never exceed those of the warmer store.
"""

from __future__ import annotations

import pytest

from shipped import shipped_crops
from steadysow.inputs.sources import read_publication

KEEPS = read_publication("uc-davis-postharvest").table
CROPS = shipped_crops()


@pytest.mark.parametrize("name", ["parsley", "cilantro", "dill", "chives"])
def test_herbs_keep_no_longer_than_at_five_degrees(name: str) -> None:
    """No herb is promised for longer than the published days at fridge temperature."""
    assert CROPS[name].keeps_days <= KEEPS["herbs"]["days_at_5_c"]


def test_a_fridge_shortens_the_life_of_lettuce_kale_and_onions() -> None:
    """Published at 0 degrees; the ratio of herbs, 14 to 21 days, is taken for the fridge, against the longer figure."""
    ratio = KEEPS["herbs"]["days_at_5_c"] / KEEPS["herbs"]["days_at_0_c"]
    published = KEEPS["keeps_days"]
    assert CROPS["butterhead lettuce"].keeps_days <= ratio * published["lettuce"][1]
    assert CROPS["green onion"].keeps_days <= ratio * published["green onion"]
    # Kale is the exception: its days were taken from the cold store as they stand.
    assert CROPS["kale"].keeps_days <= published["kale"][0]


def test_spinach_and_basil() -> None:
    """Spinach keeps less than in the cold store; basil, which a fridge spoils, less than where it likes to be."""
    assert CROPS["spinach"].keeps_days < KEEPS["spinach_keeps_days_at_0_c_at_most"][0]
    assert CROPS["basil"].keeps_days < KEEPS["basil"]["days"][0]
