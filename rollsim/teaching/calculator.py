"""What does a pocket calculator give for a line of the board, with the digits that it shows?"""

import ast
import operator
import re

GROUP = "\N{NARROW NO-BREAK SPACE}"  # between thousands
_UNIT = re.compile(r"\s*\b(?:N|lbf|deg|kg|lb|in|m|rad|g)(?:[·/](?:m|in|rad|deg|s²|g))*(?![\w.])")
_KEYS = {"×": "*", "−": "-", "²": "**2"}
_DO = {
    ast.Add: operator.add,
    ast.Sub: operator.sub,
    ast.Mult: operator.mul,
    ast.Div: operator.truediv,
    ast.Pow: operator.pow,
}
_SIGN = {ast.UAdd: operator.pos, ast.USub: operator.neg}


def keyed(line: str) -> float | None:
    """A line as it is keyed in, its units left out; None where it is no sum, or has no result.

    Examples
    --------
    >>> keyed("3147 N / 36000 N/m"), keyed("40000 N/m × (1.000 m)² / 2")
    (0.08741666666666667, 20000.0)
    >>> keyed("1000 N·m on either side")
    """
    text = _UNIT.sub("", line.replace(GROUP, ""))
    for sign, key in _KEYS.items():
        text = text.replace(sign, key)
    try:
        return _worth(ast.parse(text.strip(), mode="eval").body)
    except (SyntaxError, KeyError, ZeroDivisionError):
        return None


def _worth(node: ast.expr) -> float:
    if isinstance(node, ast.Constant):
        return float(node.value)
    if isinstance(node, ast.UnaryOp):
        return _SIGN[type(node.op)](_worth(node.operand))
    if isinstance(node, ast.BinOp):
        return _DO[type(node.op)](_worth(node.left), _worth(node.right))
    raise SyntaxError(type(node).__name__)
