"""Shares of a difference: worked by hand, against the definition over all orders, and the four properties of the source."""

from __future__ import annotations

import math
import random
from itertools import chain, combinations, permutations

import pytest

from briefgen.kernel.statistics.attribution import shares_of

EXACT = 1e-9  # rounding of sums of some dozen floats near one


def sets(causes: str) -> list[frozenset[str]]:
    return [
        frozenset(chosen) for chosen in chain.from_iterable(combinations(causes, n) for n in range(len(causes) + 1))
    ]


def values_of(formula: str, causes: str) -> dict[frozenset[str], float]:
    """Return a product-and-sum formula with each letter 1, and twice that where its cause is at work."""
    return {
        at_work: float(eval(formula, {}, {c: 2.0 if c in at_work else 1.0 for c in causes})) for at_work in sets(causes)
    }


def drawn(causes: str, seed: int) -> dict[frozenset[str], float]:
    chance = random.Random(seed)
    return {at_work: chance.gauss(0.0, 1.0) for at_work in sets(causes)}


def test_the_glove_game_of_the_text_books() -> None:
    """One left glove, two right ones, a pair is worth 1: the left one gets 2/3, each right one 1/6.

    Worked in every text on the subject, such as G. Owen, Game Theory (from memory); by hand: of six orders the owner of the left
    glove completes a pair in four, each of the others in one.
    """
    pairs = {at_work: float("l" in at_work and bool(at_work & {"r", "s"})) for at_work in sets("lrs")}

    found = shares_of(pairs, "lrs")

    assert [found[c].mean for c in "lrs"] == pytest.approx([2 / 3, 1 / 6, 1 / 6], abs=EXACT)
    assert (found["l"].least, found["l"].most) == (0.0, 1.0)


def test_a_product_of_two_is_shared_by_the_mean_of_both_ways() -> None:
    """a * b from 1 * 1 to 2 * 2: each adds 1 if first and 2 if second, so each has 1.5 of the 3."""
    found = shares_of(values_of("a * b", "ab"), "ab")

    assert [found[c].mean for c in "ab"] == pytest.approx([1.5, 1.5], abs=EXACT)
    assert [(found[c].least, found[c].most) for c in "ab"] == [(1.0, 2.0), (1.0, 2.0)]


@pytest.mark.parametrize("seed", range(3))
def test_it_is_the_mean_over_all_orders(seed: int) -> None:
    """The definition itself, order by order: 120 of them for five causes."""
    values, causes = drawn("abcde", seed), "abcde"
    sums = dict.fromkeys(causes, 0.0)
    for order in permutations(causes):
        for place, cause in enumerate(order):
            before = frozenset(order[:place])
            sums[cause] += values[before | {cause}] - values[before]

    found = shares_of(values, causes)

    assert {c: found[c].mean for c in causes} == pytest.approx({c: sums[c] / 120 for c in causes}, abs=EXACT)


def test_shares_add_up_and_do_not_depend_on_the_order_in_which_causes_are_named() -> None:
    """Closure to the last digit, and the same shares however the causes are listed."""
    values = drawn("abcdef", 7)
    first, other = shares_of(values, "abcdef"), shares_of(values, "fbdace")

    whole = values[frozenset("abcdef")] - values[frozenset()]
    assert math.fsum(share.mean for share in first.values()) == pytest.approx(whole, abs=EXACT)
    assert {c: s.mean for c, s in first.items()} == pytest.approx({c: s.mean for c, s in other.items()}, abs=EXACT)


def test_like_causes_share_alike_and_a_cause_without_effect_has_nothing() -> None:
    """Symmetry and the null player of the source."""
    found = shares_of(values_of("a * b + 0 * c", "abc"), "abc")

    assert found["a"].mean == pytest.approx(found["b"].mean, abs=EXACT)
    assert (found["c"].mean, found["c"].least, found["c"].most) == (0.0, 0.0, 0.0)


def test_shares_of_parts_add_up_to_shares_of_the_whole() -> None:
    """Additivity of the source: a table of spans by causes adds up along both of its sides."""
    one, two = drawn("abcd", 1), drawn("abcd", 2)
    whole = {at_work: one[at_work] + two[at_work] for at_work in one}

    found = [shares_of(values, "abcd") for values in (one, two, whole)]

    for cause in "abcd":
        assert found[0][cause].mean + found[1][cause].mean == pytest.approx(found[2][cause].mean, abs=EXACT)


def test_a_set_without_a_value_is_refused() -> None:
    """Nothing is put in the place of what was not flown."""
    values = drawn("ab", 3)
    del values[frozenset("a")]

    with pytest.raises(KeyError):
        shares_of(values, "ab")
