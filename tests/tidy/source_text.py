"""Source text as tidy.py reads it: comments and texts blanked out, statements, blocks. Knows C++ and TypeScript
only as far as the checks need; line numbers stay what they were."""
import re

# One alternation, so that a quote inside a comment and a comment inside a text are each read as what they are.
_CPP = re.compile(
    r'R"(?P<mark>[^\s()\\]{0,16})\(.*?\)(?P=mark)"|//[^\n]*|/\*.*?\*/|"(?:\\.|[^"\\\n])*"|(?<![\w])\'(?:\\.|[^\'\\\n])+\'',
    re.S)
_TS = re.compile(r'//[^\n]*|/\*.*?\*/|"(?:\\.|[^"\\\n])*"|\'(?:\\.|[^\'\\\n])*\'', re.S)


def code_only(text: str, typescript: bool = False) -> str:
    """The text with comments and the contents of literals turned into blanks."""
    def blank(match):
        return re.sub(r"[^\n]", " ", match.group(0))
    return (_TS if typescript else _CPP).sub(blank, text)


def line_of(text: str, position: int) -> int:
    return text.count("\n", 0, position) + 1


def block_after(code: str, position: int) -> str:
    """The braces that open at or after position, with what they hold."""
    start = code.find("{", position)
    depth = 0
    for i in range(start, len(code)):
        depth += (code[i] == "{") - (code[i] == "}")
        if depth == 0:
            return code[start:i + 1]
    return code[start:]


_BEFORE_BLOCK = re.compile(r"(\)|\b(else|try|do|const|noexcept|override|final|mutable)|\)\s*(\w+\s*)*->[^;{}=]*)\s*$")


def opens_block(code: str, brace: int) -> bool:
    """Whether this { begins a body (of a function, an if, a lambda), not a braced value."""
    before = code[max(0, brace - 300):brace]
    return bool(_BEFORE_BLOCK.search(before)) or before.rstrip()[-1:] in ("", ";", "{", "}", ":")


def statement_around(code: str, position: int) -> str:
    """The statement that holds position, with the braced values in it."""
    start = position
    depth = 0  # braced values and bodies passed on the way back
    while start > 0:
        c = code[start - 1]
        if c == "}":
            follows = code[start:].lstrip()[:1]
            if depth == 0 and follows not in (",", ")", ".", "]", "?", "+", "-", "*", "/", "<", "=", "|", "&"):
                break
            depth += 1
        elif c == "{":
            if depth > 0:
                depth -= 1
            elif opens_block(code, start - 1):
                break
        elif c == ";" and depth == 0:
            break
        start -= 1
    end = position
    depth = parens = 0
    while end < len(code):
        c = code[end]
        if c == "(":
            parens += 1
        elif c == ")":
            parens -= 1
        elif c == "{":
            if depth == 0 and parens < 0 and opens_block(code, end):
                break  # the body of the if or while whose condition we are in
            depth += 1
        elif c == "}":
            depth -= 1
            if depth < 0 and code[end + 1:].lstrip()[:1] not in (",", ")", ".", ";"):
                break
        elif c == ";" and depth <= 0:
            break
        end += 1
    return code[start:end]

