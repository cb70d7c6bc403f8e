"""Requests of the published contract's examples, and what each is answered. All invented.

A test sends each of them on the shipped rule book. Their names are findings of that book.
"""

from __future__ import annotations

from typing import Any

FIRST_VISIT: dict[str, Any] = {
    "case": {
        "as_of": "2026-11-20",
        "moment": "before_session",
        "subject": "s-01",
        "episode": "e-01",
        "patient": {"born": "1992-03", "sex": "female"},
        "answers": {"saddle_sensation": "normal", "pain": 4},
        "segments": [
            {
                "level": "L5",
                "prominent": {"flexion": "symmetric", "neutral": "left", "extension": "left"},
            }
        ],
        "course": [],
    }
}

EMPTY: dict[str, Any] = {
    "case": {"as_of": "2026-11-20", "moment": "before_session"},
    "draft": True,
}

WRONG: dict[str, Any] = {"case": {"as_of": "2026-11-31", "moment": "tomorrow"}, "drft": True}

ADVICE = {
    "first_visit": {"summary": "A first visit with little recorded", "value": FIRST_VISIT},
    "empty": {"summary": "An empty case, as a draft: everything is unknown", "value": EMPTY},
}

CHECK = {"first_visit": {"summary": "A first visit", "value": FIRST_VISIT}}

PAPER = {
    "first_visit": {"summary": "As plain text", "value": {"case": FIRST_VISIT["case"]}},
    "markdown": {
        "summary": "As Markdown",
        "value": {"case": FIRST_VISIT["case"], "format": "markdown"},
    },
}

CHANGES = {
    "numb": {
        "summary": "A week later feeling between the legs is altered",
        "value": {
            "before": FIRST_VISIT["case"],
            "after": {
                **FIRST_VISIT["case"],
                "as_of": "2026-11-27",
                "answers": {"saddle_sensation": "altered", "pain": 6},
            },
        },
    }
}

REFUSED: dict[str, Any] = {
    "type": "/problems/case-refused",
    "title": "Case refused",
    "status": 422,
    "detail": "3 problems were found. Nothing was assessed.",
    "problems": [
        {
            "code": "bad-date",
            "message": "`as_of` of the case must be a real date written YYYY-MM-DD",
            "pointer": "/case/as_of",
        },
        {
            "code": "wrong-value",
            "message": "`moment` of the case must be `before_session`, `during_session`, "
            "`after_session` or `contact`",
            "pointer": "/case/moment",
        },
        {
            "code": "unknown-key",
            "message": "the body has no such key",
            "pointer": "/drft",
            "help": "did you mean `draft`?",
        },
    ],
    "request_id": "4f0c5a52-6f0e-4b8e-9d3c-0e2a0b6f9a11",
}
"""What `WRONG` is answered (with a request id of its own)."""
