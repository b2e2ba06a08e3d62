"""Checks what was read against the form, and says in plain words what does not fit it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from pegwright.designs.form import FORMAT, DesignForm, Refused, form_of
from pegwright.designs.outline import Outline, Path
from pegwright.designs.problems import Problems, nearest
from pegwright.errors import BadInput, PegwrightError

__all__ = ["checked", "checked_as"]

Form = TypeVar("Form", bound=BaseModel)

FormOf = Callable[[Path], type[BaseModel] | None]
"""Gives the form of the table at a path, where it has one of its own."""

_KINDS = {
    "int_type": "a whole number is needed here",
    "int_from_float": "a whole number is needed here",
    "string_type": "text in quotes is needed here",
    "bool_type": "true or false is needed here",
    "float_type": "a number is needed here",
    "float_parsing": "a number is needed here",
    "list_type": "a list in [ ] is needed here",
    "dict_type": "a table is needed here",
    "model_type": "a table is needed here",
    "model_attributes_type": "a table is needed here",
    "finite_number": "a finite number is needed here",
    "int_parsing_size": "this number is too large",
}

_TRY = {
    "int_type": "write it in digits, as 44",
    "int_from_float": "write it in digits, as 44",
    "float_type": "write it in digits, as 12.5",
    "float_parsing": "write it in digits, as 12.5",
}

_LIMITS = {
    "greater_than": ("more than {gt:g} is needed here"),
    "greater_than_equal": ("{ge:g} or more is needed here"),
    "less_than_equal": ("at most {le:g} is possible here"),
    "too_short": ("at least {min_length} must be given here"),
    "too_long": ("at most {max_length} are possible here"),
    "string_too_short": ("this text is too short"),
    "string_too_long": ("this text is too long: {max_length} characters at most"),
}


def checked(data: Mapping[str, Any], outline: Outline) -> DesignForm:
    """The data as a design form.

    :raises DesignRefused: with everything that does not fit.
    """
    return checked_as(DesignForm, data, outline)


def checked_as(
    form: type[Form],
    data: Mapping[str, Any],
    outline: Outline,
    *,
    forms: FormOf = form_of,
    must_say_format: bool = True,
) -> Form:
    """The data as a form of another kind, such as a catalogue; see :func:`checked`.

    :param forms: where refusals look for the keys of a table and their words.
    :param must_say_format: ``pegwright = 1`` must be there.
    """
    if must_say_format or "pegwright" in data:
        _check_format(data, outline)
    try:
        return form.model_validate(data)
    except ValidationError as wrong:
        problems = Problems(outline)
        for detail in wrong.errors(include_url=False):
            path = _known_part(data, tuple(detail["loc"]))
            problems.add(path, _refusal(detail, path, forms))
        problems.raise_if_any()
        raise


def _check_format(data: Mapping[str, Any], outline: Outline) -> None:
    """Refuse another version before anything else, as its keys may differ."""
    version = data.get("pegwright")
    if version == FORMAT and not isinstance(version, bool | float):
        return
    problems = Problems(outline)
    if version is None:
        problems.refuse(
            ("pegwright",),
            "this does not say that it is a design",
            hint=f"write pegwright = {FORMAT} in its first line",
        )
    else:
        problems.refuse(
            ("pegwright",),
            "this version of the format is not known",
            given=_shown(version),
            hint=f"write pegwright = {FORMAT}, or take a newer Pegwright",
        )
    problems.raise_if_any()


def _known_part(data: object, loc: Path) -> Path:
    """The path without the checker's own marks, such as the branch of a choice that was tried."""
    path: Path = ()
    for part in loc:
        inside = (isinstance(data, Mapping) and part in data) or (
            isinstance(data, list) and isinstance(part, int) and part < len(data)
        )
        if not inside:
            return (*path, part) if part == loc[-1] and isinstance(data, Mapping) else path
        data = data[part]  # type: ignore[index]
        path += (part,)
    return path


def _refusal(detail: ErrorDetails, path: Path, forms: FormOf) -> PegwrightError:
    kind, context = detail["type"], detail.get("ctx", {})
    carried = context.get("error")
    if isinstance(carried, Refused):
        return carried.error
    name = str(path[-1]) if path else "design"
    given = _shown(detail["input"])
    if kind == "extra_forbidden":
        form = forms(path[:-1])
        keys = list(form.model_fields) if form else []
        return BadInput(f"“{name[:80]}” is not known here", given=name, hint=nearest(name, keys))
    if kind == "missing":
        return BadInput(f"“{name}” is missing", hint=_missing_hint(name, path, forms))
    if kind == "enum":
        words = context.get("expected", "")
        known = [word.strip("'") for word in words.replace(" or ", ", ").split(", ")]
        return BadInput("not one of the words that are known here", given=given,
                        hint=nearest(given, known))  # fmt: skip
    if kind == "string_pattern_mismatch":
        return BadInput("this cannot be read here", given=given, hint=_pattern_hint(name, path))
    if kind in _LIMITS:
        return BadInput(_LIMITS[kind].format(**context), given=given, hint="count or measure again")
    hint = _TRY.get(kind, "see docs/design-files.md")
    return BadInput(_KINDS.get(kind, detail["msg"]), given=given, hint=hint)


def _missing_hint(name: str, path: Path, forms: FormOf) -> str:
    if len(path) == 1 and forms(path):
        header = f"[[{name}]]" if name.endswith("s") else f"[{name}]"
        return f"a group {header} is needed; see docs/design-files.md, or pegwright new"
    form = forms(path[:-1])
    field = form.model_fields.get(name) if form else None
    return f"{name}: {field.description if field else 'see docs/design-files.md'}"


def _pattern_hint(name: str, path: Path) -> str:
    if name == "colour_hex":
        return "write # and six hexadecimal digits, as #1f4e79"
    if "columns" in path:
        return 'write "F", "B", "FB", "BF", or "" for a column that is passed by'
    return "see docs/design-files.md"


def _shown(value: object) -> str:
    if isinstance(value, Mapping):
        return f"a table of {len(value)}"
    if isinstance(value, list):
        return f"a list of {len(value)}"
    try:
        return str(value)
    except ValueError:  # a whole number with thousands of digits
        return "a number of thousands of digits"
