"""What a piece costs, line by line."""

from __future__ import annotations

import json
import math
from decimal import Decimal

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pegwright.errors import BadInput
from pegwright.measured import Measured
from pegwright.planning.cost import Cost, Money, Per, Price, YarnBasis, cost
from pegwright.units import UnitSystem
from pegwright.yarn.need import YarnNeed, needs
from pegwright.yarn.yarn import Yarn

SLIPWAY = Yarn("Slipway", 4, 200, metres_per_100g_sd=0, ball_g=50, colour="rust", invented=True)
KEEL = Yarn("Keel", 5, 100, metres_per_100g_sd=0, ball_g=100, colour="slate", invented=True)
HOOD = needs({SLIPWAY: {"body": Measured(250)}, KEEL: {"cord": Measured(30)}}, margin=0)
PRICES = {"Slipway": Price("4.50"), "Keel": Price("8.00", Per.HUNDRED_GRAMS)}


def hood(basis: YarnBasis = YarnBasis.BOUGHT, margin: float = 0.25) -> Cost:
    return cost(HOOD, PRICES, Measured(5), 12, margin, others={"label": "0.35"}, basis=basis)


def test_by_hand() -> None:
    made = hood()
    # 125 g are 3 balls at 4.50; 30 g are a ball at 8.00; a label; five hours at 12.
    assert [line.amount for line in made.lines if line.counted] == [
        Decimal("13.50"),
        Decimal("8.00"),
        Decimal("0.35"),
        Decimal("60.00"),
    ]
    assert made.total == Decimal("81.85")
    assert made.added == Decimal("20.46")  # a quarter, half up
    assert made.price == Decimal("102.31")


def test_yarn_used_is_shown_beside_yarn_bought() -> None:
    bought, used = hood(), hood(YarnBasis.USED)
    assert [line.amount for line in bought.lines if not line.counted] == [
        Decimal("11.25"),  # 125 of 50 g at 4.50
        Decimal("2.40"),  # 30 of 100 g at 8.00
    ]
    assert used.total == Decimal("74.00")
    assert [line.what for line in used.lines] == [line.what for line in bought.lines]


def test_a_price_of_100_g_is_that_of_its_balls() -> None:
    by_ball = cost(HOOD[:1], {"Slipway": Price("4.50")}, Measured(0), 0)
    by_weight = cost(HOOD[:1], {"Slipway": Price("9.00", Per.HUNDRED_GRAMS)}, Measured(0), 0)
    assert by_ball.total == by_weight.total == Decimal("13.50")


def test_a_colour_may_have_its_own_price() -> None:
    prices = {"Slipway": Price(4), "Slipway, rust": Price(5)}
    assert cost(HOOD[:1], prices, Measured(0), 0).total == Decimal("15.00")


def test_the_price_interval_agrees_with_monte_carlo() -> None:
    rng = np.random.default_rng(29)
    made = cost(HOOD, PRICES, Measured(5, 0.6), 12, 0.25)
    prices = (21.5 + rng.normal(5, 0.6, 400_000) * 12) * 1.25
    low, high = np.quantile(prices, [0.05, 0.95])
    assert [float(end) for end in made.price_interval] == pytest.approx(
        [float(low), float(high)], rel=0.003
    )


@given(
    st.decimals("0", "500", places=2),
    st.floats(0, 100),
    st.decimals("0", "50", places=2),
    st.floats(0, 2),
)
def test_the_sum_adds_up_as_printed(
    ball: Decimal, hours: float, rate: Decimal, margin: float
) -> None:
    made = cost(HOOD[:1], {"Slipway": Price(ball)}, Measured(hours), rate, margin)
    assert made.price == sum(x.amount for x in made.lines if x.counted) + made.added
    assert all(line.amount == line.amount.quantize(Decimal("0.01")) for line in made.lines)
    worked = made.lines[-1]
    shown_hours, shown_rate = worked.working.split(" h × ")
    product = Decimal(shown_hours) * Decimal(shown_rate)
    assert abs(product - worked.amount) <= Decimal("0.005")
    low, high = made.price_interval
    assert low <= high


@given(st.floats(0, 40), st.floats(0.1, 10), st.floats(0, 1), st.floats(0.05, 1))
def test_more_work_and_more_margin_cost_more(
    hours: float, more: float, margin: float, added: float
) -> None:
    price = cost(HOOD, PRICES, Measured(hours), 12, margin).price
    assert cost(HOOD, PRICES, Measured(hours + more), 12, margin).price > price
    assert cost(HOOD, PRICES, Measured(hours), 12, margin + added).price > price


def test_words_are_arithmetic() -> None:
    lines = cost(
        HOOD[:1], PRICES, Measured(5.154, 0.2), "12", 0.2, others={"Label": "0.35"}, currency="£"
    ).words(UnitSystem.INCHES)
    assert lines == (
        "Slipway, rust, bought: 3 balls × £4.50 = £13.50",
        "Slipway, rust, used: 125 g at £4.50 for 50 g = £11.25 (to compare, not counted)",
        "Label: £0.35",
        "Work: 5.15 h × £12.00 = £61.80",
        "Cost: £75.65",
        "Margin: 20 % of £75.65 = £15.13",
        "Price: £75.65 + £15.13 = £90.78",
        "As the hours may turn out, nine times in ten between £86.10 and £95.58.",
    )


def test_plain_data_loses_no_penny() -> None:
    data = json.loads(json.dumps(hood().as_data()))
    assert data["price"] == "102.31"
    assert data["basis"] == "bought"
    assert sum(Decimal(x["amount"]) for x in data["lines"] if x["counted"]) == Decimal("81.85")


@pytest.mark.parametrize("amount", ["-1", "four", "", "NaN", "Infinity", -0.01, True, 10**12])
def test_amounts_that_cannot_be(amount: Money) -> None:
    with pytest.raises(BadInput, match="amount of money"):
        cost(HOOD[:1], {"Slipway": Price(amount)}, Measured(1), 1)
    with pytest.raises(BadInput) as caught:
        cost(HOOD, PRICES, Measured(1), 1, others={"label": amount})
    assert caught.value.place is not None
    assert caught.value.place.field == "others.label"


@pytest.mark.parametrize(
    "prices, hours, rate, margin, field",
    [
        ({}, 1, 1, 0, "prices.Slipway"),  # a yarn without a price
        (PRICES, -1, 1, 0, "hours"),
        (PRICES, 1, -1, 0, "rate"),
        (PRICES, 1, 1, -0.1, "margin"),
        (PRICES, 1, 1, math.nan, "margin"),
    ],
)
def test_input_that_cannot_be(
    prices: dict[str, Price], hours: float, rate: float, margin: float, field: str
) -> None:
    with pytest.raises(BadInput) as caught:
        cost(HOOD, prices, Measured(hours), rate, margin)
    assert caught.value.place is not None
    assert caught.value.place.field == field


def test_no_yarn_is_no_yarn_cost() -> None:
    nothing: tuple[YarnNeed, ...] = ()
    assert cost(nothing, {}, Measured(0), 0).price == 0
