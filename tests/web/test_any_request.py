"""Whatever is asked, within the description or outside it, is answered as described and never with a failure."""

from __future__ import annotations

from typing import Any

import schemathesis
from hypothesis import HealthCheck, settings
from schemathesis.specs.openapi.checks import response_schema_conformance, status_code_conformance

from nightfold.web.app import create_app

SCHEMA: Any = schemathesis.openapi.from_dict(create_app().openapi())


def _tamed(body: Any) -> Any:
    """Keep to what is answered at once: this is about what is asked, not about how long it is waited for."""
    if isinstance(body, dict):
        most = {"count": 3, "longest": 5, "extra": 1, "mistakes": 1, "top": 3}
        for key, limit in most.items():
            if isinstance(body.get(key), int) and not isinstance(body[key], bool):
                body[key] = min(body[key], limit)
        if isinstance(body.get("most_turns"), int):
            body["most_turns"] += 400
        if "turns" in body and body.get("longest") is None:
            body["longest"] = 5
    return body


@SCHEMA.parametrize()  # type: ignore[untyped-decorator]
@settings(max_examples=15, suppress_health_check=list(HealthCheck))
def test_every_request_is_answered_as_described(port: int, case: Any) -> None:
    case.body = _tamed(case.body)
    answer = case.call(base_url=f"http://127.0.0.1:{port}", timeout=60)  # a busy machine is slow
    assert answer.status_code < 500, answer.text
    case.validate_response(answer, checks=[response_schema_conformance, status_code_conformance])
    if answer.status_code >= 400:
        assert set(answer.json()) == {"error"}
    assert "Traceback" not in answer.text


def test_all_operations_are_there() -> None:
    operations = {operation.ok().label for operation in SCHEMA.get_all_operations()}
    assert len(operations) >= 19
    assert {"POST /api/plan", "POST /api/find", "PUT /api/methods/{name}"} <= operations
