"""Water chemistry as pure functions of numbers; each module is one family of formulas.

Every formula names its publication and validity range through `watervane.reference.sourced`.
"""
