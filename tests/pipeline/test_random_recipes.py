"""Random recipes over the samples: refused in a sentence, or finished as promised.

A few here; `tests/bench/try_recipes.py` tries some hundreds and keeps the recipes that fail.
"""

import os
import tempfile
from pathlib import Path

import pytest
from hypothesis import HealthCheck, Phase, event, given, settings

from holdwright.pipeline.replaying.cache import Cache
from random_recipes import Tried, outcome_of, tried_recipes

EXAMPLES = int(os.environ.get("HOLDWRIGHT_RECIPES", "10"))
"""How many; `HOLDWRIGHT_RECIPES=500` tries more."""

_CACHE = Cache(500_000_000)


@pytest.mark.timeout(60 * EXAMPLES)
@settings(
    max_examples=EXAMPLES,
    derandomize=True,
    phases=[Phase.generate],
    deadline=None,
    database=None,
    suppress_health_check=list(HealthCheck),
)
@given(tried_recipes())
def test_a_random_recipe_is_refused_in_a_sentence_or_finished_as_promised(tried: Tried) -> None:
    with tempfile.TemporaryDirectory() as folder:
        outcome = outcome_of(tried, Path(folder), _CACHE)
    event(outcome.kind)
    assert list(outcome.problems) == []
