"""Pseudo-languages that show what is not translated and what does not hold.

``qps`` is English in accented letters and two fifths longer; ``qpr`` has Hebrew letters in the
place of Latin ones and is read from right to left.  Both keep every field.
"""

from __future__ import annotations

from gettext import NullTranslations
from string import Formatter

from pegwright.tongue.tongue import Forms, Tongue

__all__ = ["RTL", "WIDE"]

_ACCENTED = str.maketrans(
    "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ",
    "àßçđéƒĝħîĵķļɱñöþǫŕšťüṽŵẋýžÀÞÇÐÉƑĜĤÎĴĶĻɱÑÖÞǪŔŠŤÜṼŴẊÝŽ",
)
_HEBREW = str.maketrans(
    "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ",
    "אבגדהוזחטיכלמנסעפצקרשתאבגד" * 2,
)


class _Pseudo(NullTranslations):
    def __init__(self, letters: dict[int, int], longer: float) -> None:
        super().__init__()
        self._letters, self._longer = letters, longer

    def gettext(self, message: str) -> str:
        told = ""
        for text, name, spec, _ in Formatter().parse(message):
            told += text.translate(self._letters)
            if name is not None:
                told += "{" + name + (f":{spec}" if spec else "") + "}"
        pad = round(len(message) * self._longer) if len(message) > 3 else 0
        return told + ("·" * pad if pad < 8 else " " + "·" * (pad - 1))

    def ngettext(self, msgid1: str, msgid2: str, n: int) -> str:
        return self.gettext(msgid1 if n == 1 else msgid2)

    def pgettext(self, context: str, message: str) -> str:  # noqa: ARG002
        return self.gettext(message)


_FORMS = {"decimal": ",", "group": ".", "pair": "{0} & {1}", "last": "{0} & {1}"}

WIDE = Tongue("qps", _Pseudo(_ACCENTED, 0.4), Forms(**_FORMS))  # type: ignore[arg-type]
RTL = Tongue("qpr", _Pseudo(_HEBREW, 0.0), Forms(**_FORMS, rtl=True))  # type: ignore[arg-type]
