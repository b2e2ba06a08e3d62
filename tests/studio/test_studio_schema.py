"""The API keeps to its own OpenAPI document, whatever is sent: no crash, no undocumented answer."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

import schemathesis
from hypothesis import HealthCheck, Phase, given, settings
from schemathesis.checks import not_a_server_error
from schemathesis.core.result import Ok
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    response_schema_conformance,
    status_code_conformance,
)

from pegwright.designs.files import shipped_text
from pegwright.studio.app import create_app
from pegwright.studio.designs.desk import text_body
from pegwright.studio.security import TOKEN_HEADER
from pegwright.studio.settings import Settings
from tests.studio.conftest import HOST

EXAMPLES = int(os.environ.get("PEGWRIGHT_API_EXAMPLES", "6"))
CHECKS = (
    not_a_server_error,
    status_code_conformance,
    content_type_conformance,
    response_schema_conformance,
)


def test_the_api_keeps_to_its_document(tmp_path: Path) -> None:
    app = create_app(Settings(tmp_path / "library.sqlite", extra_hosts=(HOST, "testserver")))
    studio = app.state.studio
    for name in ("tern-point-hood", "tern-point-scarf"):
        studio.library.put(text_body(shipped_text(name)))
    headers = {"Host": HOST, TOKEN_HEADER: studio.token}
    schema = schemathesis.openapi.from_asgi("/api/openapi.json", app, headers={"Host": HOST})
    labels = []
    for found in schema.get_all_operations():
        assert isinstance(found, Ok), found
        operation = found.ok()
        labels.append(operation.label)

        @settings(
            max_examples=EXAMPLES,
            deadline=None,
            database=None,
            phases=[Phase.explicit, Phase.generate],
            suppress_health_check=list(HealthCheck),
        )
        @given(case=operation.as_strategy())
        def holds(case: schemathesis.Case[Any]) -> None:
            case.call_and_validate(headers=headers, checks=list(CHECKS))

        holds()
    assert "PATCH /api/designs/{design_id}/fields" in labels
    assert len(labels) > 30
    studio.close()
