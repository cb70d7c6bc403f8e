"""The HTTP door: JSON under `/v1`, health, one shape of error (RFC 9457). Thin, no logic.

The idea: routes read bytes themselves and hand parsed JSON to a use case of `cds.service`. Whatever
goes wrong, inside or outside a route, is answered as `application/problem+json` by one function,
and nothing of a case reaches a log line. Nothing happens on import: `create_app` builds the
application.

Files: `app` (the application) · `advising` (advice, check, what changed, papers) · `rethinking`
(questions, session table, closing) · `rethinking_contract` (their contract) · `reading` (version,
vocabulary, rule book, contract) · `health` (alive, ready) · `body` (bytes to JSON)
· `errors` (problems as answers) · `answers` (JSON answers, entity tags) · `shapes` (shapes of the
door's own answers) · `middleware` (request id, log line, the last net) · `openapi` (the published
contract) · `contract` (its operations) · `examples` (its requests, run by a test) · `typed_schema`
(typed dictionaries to JSON Schema).
"""
