"""Money in minor units: the only rounding of money, and the splitting that adds up to the cent."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import lcm
from typing import Final, NewType

Money = NewType("Money", int)
"""A sum in the minor units of its currency (cents of a dollar, yen of a yen)."""

_CODES: Final = {
    0: "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX UYI VND VUV XAF XOF XPF",
    2: (
        "AED AFN ALL AMD AOA ARS AUD AWG AZN BAM BBD BDT BMD BND BOB BOV BRL BSD BTN BWP BYN BZD CAD CDF CHE CHF "
        "CHW CNY COP COU CRC CUP CVE CZK DKK DOP DZD EGP ERN ETB EUR FJD FKP GBP GEL GHS GIP GMD GTQ GYD HKD HNL "
        "HTG HUF IDR ILS INR IRR JMD KES KGS KHR KPW KYD KZT LAK LBP LKR LRD LSL MAD MDL MGA MKD MMK MNT MOP MRU "
        "MUR MVR MWK MXN MXV MYR MZN NAD NGN NIO NOK NPR NZD PAB PEN PGK PHP PKR PLN QAR RON RSD RUB SAR SBD SCR "
        "SDG SEK SGD SHP SLE SOS SRD SSP STN SVC SYP SZL THB TJS TMT TOP TRY TTD TWD TZS UAH USD USN UYU UZS VED "
        "VES WST XAD XCD XCG YER ZAR ZMW ZWG"
    ),
    3: "BHD IQD JOD KWD LYD OMR TND",
    4: "CLF UYW",
}
"""By decimals; without metals, units of account and codes for tests, in which nothing is paid."""
_DECIMALS: Final = {code: decimals for decimals, codes in _CODES.items() for code in codes.split()}
_SIGNS: Final = {
    "USD": "$", "CAD": "$", "AUD": "$", "NZD": "$", "SGD": "$", "HKD": "$", "MXN": "$", "EUR": "€",
    "GBP": "£", "JPY": "¥", "CNY": "¥", "INR": "₹", "KRW": "₩", "ILS": "₪", "NGN": "₦", "PHP": "₱",
    "THB": "฿", "TRY": "₺", "UAH": "₴", "VND": "₫", "BRL": "R$", "CHF": "CHF", "ZAR": "R",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Currency:
    """A currency by its ISO 4217 code.

    Source: ISO 4217, list of 2026-01-01, for the codes and the number of decimals.
    """

    code: str = "USD"

    @property
    def decimals(self) -> int:
        return _DECIMALS[self.code]

    @property
    def sign(self) -> str:
        """The sign that people write with sums of this currency; the code where there is none."""
        return _SIGNS.get(self.code, self.code)

    @property
    def marks(self) -> tuple[str, ...]:
        """What stands before or after a sum of this currency, the longer before the shorter: code and signs."""
        dollars = (f"{self.code[:2]}$", f"{self.code[0]}$") if self.sign == "$" else ()
        return (self.code, *dollars, self.sign)

    def exact(self, amount: Fraction) -> Money | None:
        """The sum in minor units, or None where `amount` has more decimals than the currency."""
        minor = amount * 10**self.decimals
        return Money(minor.numerator) if minor.denominator == 1 else None

    def plain(self, money: Money) -> str:
        """`12.40`: digits and a point, for programs and for cells."""
        minus = "-" if money < 0 else ""
        if not self.decimals:
            return f"{minus}{abs(money)}"
        whole, rest = divmod(abs(money), 10**self.decimals)
        return f"{minus}{whole}.{rest:0{self.decimals}d}"

    def shown(self, money: Money, *, coded: bool = False) -> str:
        """`$1,204.50`, for people; `USD 1,204.50` where other currencies of that sign stand beside."""
        whole, _, rest = self.plain(Money(abs(money))).partition(".")
        grouped = f"{int(whole):,}" + (f".{rest}" if rest else "")
        sign = self.code if coded else self.sign
        lead = sign if len(sign) == 1 else f"{sign} "
        return f"{'−' if money < 0 else ''}{lead}{grouped}"


def known_currencies() -> list[str]:
    """ISO 4217 codes that Settings may name, in order."""
    return sorted(_DECIMALS)


def half_up(exact: Fraction) -> Money:
    """A sum in minor units, rounded half up."""
    return Money((2 * exact.numerator + exact.denominator) // (2 * exact.denominator))


def split(total: Money, weights: Sequence[Fraction | int]) -> list[Money]:
    """`total` in proportion to `weights`, adding up to it exactly, by largest remainder.

    Every part is its exact share rounded down or up; of equal remainders the earlier part gets the
    odd unit, so the order of `weights` is the tie rule. All weights 0: everything to the first part.

    Args:
        total: sum to split, >= 0 [minor units].
        weights: one a part, each >= 0, at least one part.
    Source: Hamilton's method of apportionment (largest remainder).
    """
    unit = lcm(*(weight.denominator for weight in weights))
    wholes = [weight.numerator * (unit // weight.denominator) for weight in weights]  # in one fraction of 1
    if not (whole := sum(wholes)):
        return [total, *[Money(0)] * (len(weights) - 1)]
    parts, remainders = map(list, zip(*(divmod(weight * total, whole) for weight in wholes), strict=True))
    left = total - sum(parts)
    for part in sorted(range(len(parts)), key=lambda part: -remainders[part])[:left]:
        parts[part] += 1
    return [Money(part) for part in parts]
