"""What a piece costs and what to ask for it, shown as arithmetic that adds up by hand.

Words used here:

* yarn **bought** is whole balls, as a shop sells them; yarn **used** is the grams in the piece.
  Both are always shown; the basis says which of them is counted;
* the **rate** is what an hour of work is worth;
* the **margin** is added to the cost, as a fraction of it: 0.2 for a fifth more (a mark-up on the
  cost, not a part of the price).

Money is decimal.  A ball's price and each line are rounded half up to the penny, hours to a
hundredth and grams to a tenth **before** they are multiplied, so that what is printed adds up as
printed.  No currency is assumed: give its sign, or none.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal, InvalidOperation
from enum import StrEnum

from pegwright.errors import BadInput, Place
from pegwright.measured import Measured
from pegwright.units import (
    UnitSystem,
    format_number,
    require_zero_or_more,
)
from pegwright.yarn.need import YarnNeed
from pegwright.yarn.telling import counted, percent
from pegwright.yarn.yarn import Yarn

__all__ = ["MOST_MONEY", "Cost", "CostLine", "Money", "Per", "Price", "YarnBasis", "cost"]

MOST_MONEY = Decimal(10) ** 9
"""The largest amount that is taken; a larger one is a slip of the keyboard."""

Money = Decimal | int | float | str
"""An amount as it is given: ``4.50``, or the same as text."""

_PENNY = Decimal("0.01")
_COVERAGE = 0.9


class Per(StrEnum):
    """What a price is for."""

    BALL = "ball"
    HUNDRED_GRAMS = "100 g"


class YarnBasis(StrEnum):
    """Which yarn is counted."""

    BOUGHT = "bought"  # whole balls
    USED = "used"  # grams in the piece


@dataclass(frozen=True, slots=True)
class Price:
    """What a yarn costs.

    :param amount: zero or more, in any currency.
    """

    amount: Money
    per: Per = Per.BALL

    def of_ball(self, yarn: Yarn) -> Decimal:
        """The price of one ball, unrounded."""
        amount = _money(self.amount, "price")
        if self.per is Per.BALL:
            return amount
        return amount * _decimal(yarn.ball_g) / 100


@dataclass(frozen=True, slots=True)
class CostLine:
    """One line of the sum.

    :param working: how the amount comes about, as ``3 balls × 4.50``.
    :param counted: the line is part of the sum; otherwise it is there to compare.
    """

    what: str
    working: str
    amount: Decimal
    counted: bool = True


@dataclass(frozen=True, slots=True)
class Cost:
    """What a piece costs.

    :param lines: in the order of the sum.
    :param labour: least and most that the work costs, nine times in ten.
    :param margin: added to the cost, as a fraction of it.
    """

    lines: tuple[CostLine, ...]
    labour: tuple[Decimal, Decimal]
    hours: Measured
    rate: Decimal
    margin: float
    basis: YarnBasis
    currency: str = ""

    @property
    def total(self) -> Decimal:
        """The sum of the lines that count."""
        return sum((line.amount for line in self.lines if line.counted), Decimal(0))

    @property
    def added(self) -> Decimal:
        """The margin as an amount."""
        return _penny(self.total * _decimal(self.margin))

    @property
    def price(self) -> Decimal:
        """The cost with the margin."""
        return self.total + self.added

    @property
    def price_interval(self) -> tuple[Decimal, Decimal]:
        """Least and most that the price comes to, as the hours may turn out."""
        work = _penny(_penny(_decimal(self.hours.value)) * self.rate)
        factor = 1 + _decimal(self.margin)
        low, high = ((self.total - work + end) * factor for end in self.labour)
        return _penny(low), _penny(high)

    @property
    def sums(self) -> tuple[CostLine, ...]:
        """What the lines come to: the cost, the margin and the price."""
        total, added = self.shown(self.total), self.shown(self.added)
        return (
            CostLine("Cost", total, self.total),
            CostLine("Margin", f"{percent(self.margin, 1)} of {total}", self.added),
            CostLine("Price", f"{total} + {added}", self.price),
        )

    @property
    def likely(self) -> str:
        """The price's interval in a sentence."""
        low, high = (self.shown(end) for end in self.price_interval)
        return f"As the hours may turn out, nine times in ten between {low} and {high}."

    def shown(self, amount: Decimal) -> str:
        """An amount with its sign, to the penny."""
        return _shown(amount, self.currency)

    def words(self, units: UnitSystem) -> tuple[str, ...]:  # noqa: ARG002 - one call for all
        """The sum, line by line, and the price with its interval."""
        lines = (_line_words(line, self.currency) for line in (*self.lines, *self.sums))
        return (*lines, self.likely)

    def as_data(self) -> dict[str, object]:
        """The same as plain data; amounts as texts, so that no penny is lost."""
        low, high = self.price_interval
        return {
            "lines": [
                {
                    "what": line.what,
                    "working": line.working,
                    "amount": str(line.amount),
                    "counted": line.counted,
                }
                for line in self.lines
            ],
            "basis": str(self.basis),
            "currency": self.currency,
            "cost": str(self.total),
            "margin": self.margin,
            "added": str(self.added),
            "price": str(self.price),
            "price_low": str(low),
            "price_high": str(high),
            "hours": self.hours.value,
            "hours_sd": self.hours.sd,
        }


def cost(
    needs: Sequence[YarnNeed],
    prices: Mapping[str, Price],
    hours: Measured,
    rate: Money,
    margin: float = 0.0,
    *,
    others: Mapping[str, Money] | None = None,
    basis: YarnBasis = YarnBasis.BOUGHT,
    currency: str = "",
) -> Cost:
    """What a piece costs, and its price.

    :param prices: by the yarn's name, or by name and colour (``Slipway, rust``) where they differ.
    :param hours: of work, with their uncertainty (:func:`pegwright.planning.pace.work_time`).
    :param rate: for an hour of work, zero or more.
    :param margin: added to the cost, as a fraction of it, zero or more.
    :param others: what else is bought, by name: buttons, a label.
    :raises BadInput: naming the field, for a yarn without a price, or an amount below zero.
    """
    require_zero_or_more(margin, "margin", hint="write 0.2 for a fifth more than the cost")
    require_zero_or_more(hours.value, "hours")
    per_hour = _money(rate, "rate")
    lines = [line for need in needs for line in _yarn_lines(need, prices, basis, currency)]
    for name, amount in (others or {}).items():
        paid = _penny(_money(amount, f"others.{name}"))
        lines.append(CostLine(name, _shown(paid, currency), paid))
    worked = _penny(_decimal(hours.value))
    work = _penny(worked * per_hour)
    lines.append(CostLine("Work", f"{worked} h × {_shown(per_hour, currency)}", work))
    low, high = (_penny(_decimal(max(end, 0.0)) * per_hour) for end in hours.interval(_COVERAGE))
    return Cost(tuple(lines), (low, high), hours, per_hour, margin, basis, currency)


def _yarn_lines(
    need: YarnNeed, prices: Mapping[str, Price], basis: YarnBasis, currency: str
) -> tuple[CostLine, CostLine]:
    yarn = need.yarn
    price = prices.get(yarn.label, prices.get(yarn.name))
    if price is None:
        raise BadInput(
            "no price is given for this yarn",
            given=yarn.label,
            hint="give what a ball or 100 g of it costs, 0 for yarn that you have",
            place=Place(field=f"prices.{yarn.name}"),
        )
    ball = price.of_ball(yarn)
    grams = float(format_number(need.grams.value, 1))
    bought = CostLine(
        f"{yarn.label}, bought",
        f"{counted(need.balls, 'ball')} × {_shown(ball, currency)}",
        _penny(_penny(ball) * need.balls),
        counted=basis is YarnBasis.BOUGHT,
    )
    used = CostLine(
        f"{yarn.label}, used",
        f"{format_number(grams, 1)} g at {_shown(ball, currency)} for"
        f" {format_number(yarn.ball_g, 1)} g",
        _penny(_penny(ball) * _decimal(grams) / _decimal(yarn.ball_g)),
        counted=basis is YarnBasis.USED,
    )
    return bought, used


def _line_words(line: CostLine, sign: str) -> str:
    aside = "" if line.counted else " (to compare, not counted)"
    amount = _shown(line.amount, sign)
    if line.working == amount:
        return f"{line.what}: {amount}{aside}"
    return f"{line.what}: {line.working} = {amount}{aside}"


def _money(value: Money, field: str) -> Decimal:
    try:
        amount = value if isinstance(value, Decimal) else Decimal(str(value).strip())
    except InvalidOperation:
        amount = Decimal("NaN")
    if isinstance(value, bool) or not amount.is_finite() or not 0 <= amount <= MOST_MONEY:
        raise BadInput(
            "an amount of money is a number of zero or more",
            given=value,
            hint="write it without its sign, as 4.50",
            place=Place(field=field),
        )
    return amount


def _decimal(value: float) -> Decimal:
    """A float as the digits that Python shows for it."""
    return Decimal(repr(float(value)))


def _penny(amount: Decimal) -> Decimal:
    return amount.quantize(_PENNY, ROUND_HALF_UP)


def _shown(amount: Decimal, sign: str) -> str:
    return f"{sign}{_penny(amount)}"
