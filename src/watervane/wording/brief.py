"""What was taken for granted in one line; whatever needs the keeper stays whole."""

from __future__ import annotations

from collections.abc import Iterable

from watervane.records import Finding
from watervane.wording.amounts import listed
from watervane.wording.templates import finding_line, phrase, templates


def brief_findings(findings: Iterable[Finding]) -> list[str]:
    """Findings as few lines: those that only tell of an assumption come in one, by name.

    Parameters
    ----------
    findings
        In the order they are told.
    """
    whole: list[str] = []
    named: list[str] = []
    for finding in findings:
        key = f"brief-{finding.key}"
        if key in templates():
            named.append(phrase(key, **finding.arguments))
        else:
            whole.append(finding_line(finding))
    if len(named) == 1:
        whole.append(phrase("brief-assumed-one", name=named[0]))
    elif named:
        whole.append(phrase("brief-assumed", names=listed(list(dict.fromkeys(named)))))
    return whole
