from __future__ import annotations

import pytest

from cds.assure.burden.population import visits
from tests.assure.burden.support import population


def test_a_smaller_draw_is_the_same_population() -> None:
    whole = population(40, 3)
    small = whole.of_size(2)
    assert (small.first, small.follow_up, small.dialogues) == (2, 2, 2)
    assert small.findings == whole.findings
    assert whole.of_size(50).dialogues == whole.dialogues
    assert whole.of_size(None) is whole


@pytest.mark.parametrize("text", ["0", "-3", "many", "1.5"])
def test_a_number_of_visits_is_at_least_one(text: str) -> None:
    assert visits("12") == 12
    with pytest.raises(ValueError, match=text):
        visits(text)
