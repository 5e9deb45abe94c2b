"""House rules that no linter knows; import contracts are in pyproject.toml."""

from __future__ import annotations

import ast
import re
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
APPS = ("project", "crews", "inspections")  # in the arrows' order, lowest first
TEMPLATES = sorted((ROOT / "templates").rglob("*.html"))

# What each list leaves out, with the reason beside it.
LONG_FILES: dict[str, str] = {}
WRITES_BESIDE_ACTIONS: dict[str, str] = {}
ACTIONS_WITHOUT_BY: dict[str, str] = {}
CLOCKS: dict[str, str] = {
    "project/clock.py": "the one clock",
    "project/logs.py": "a log line says when it was really written",
    "project/models/records.py": "an identity holds the moment it was really minted",
}
MARKED_SAFE: dict[str, str] = {
    "project/charts/svg.py": "escapes each word of a drawing on its way in",
}
# base.html alone joins the house; these are the other threads that lead up.
NAMES_OF_HIGHER_PAGES: dict[tuple[str, str], str] = {
    ("project/context_processors.py", "today"): "the menu of base.html",
    ("project/context_processors.py", "workings"): "the menu of base.html",
    ("project/context_processors.py", "affected"): "linked where a fact is corrected",
    ("project/views/accounts.py", "today"): "whoever has one job lands in it",
    ("templates/project/jobs.html", "today"): "a job opens on its home page",
    ("templates/crews/_panel_facts.html", "shift"): "a panel names its shift",
    ("crews/views/common.py", "affected"): "a new fact leads to what it turned",
    ("crews/views/hours.py", "hours_letter"): "the letter is set with the packet's pen",
    ("crews/views/operators.py", "rolling_record"): "an operator's sheet leads to it",
    ("crews/views/operators.py", "rolling_records"): "so do all the operators",
    ("crews/views/shooting.py", "shift"): "a shift's page shows its sheets too",
    ("crews/views/shooting.py", "days"): "the days show sheets beside shifts",
    ("crews/views/shooting.py", "take_nozzle"): "the take is shown with its sheet",
}
# A migration may name a kind of column and the words a column may hold, never a rule.
MIGRATIONS_MAY_IMPORT = re.compile(r"(project\.models\.records|\w+\.domain\.\w+_words)")

IMPURE = {
    "asyncio", "builtins", "concurrent", "ctypes", "glob", "http", "importlib", "io",
    "logging", "multiprocessing", "os", "pathlib", "pickle", "random", "secrets",
    "select", "shutil", "signal", "socket", "sqlite3", "ssl", "subprocess", "sys",
    "tempfile", "threading", "time", "urllib", "webbrowser",
}  # fmt: skip


def _sources() -> dict[str, ast.Module]:
    return {
        str(file.relative_to(ROOT)): ast.parse(file.read_text(encoding="utf-8"))
        for app in APPS
        for file in sorted((ROOT / app).rglob("*.py"))
    }


SOURCES = _sources()


def _none(found: list[str]) -> None:
    assert not found, "\n" + "\n".join(found)


def _layer(path: str) -> str:
    """Return the room of a file: crews/actions/panels.py and crews/actions.py alike."""
    return Path(path).parts[1].removesuffix(".py")


def _in(*layers: str) -> Iterator[tuple[str, ast.Module]]:
    return ((p, tree) for p, tree in SOURCES.items() if _layer(p) in layers)


def _not_in(*layers: str) -> Iterator[tuple[str, ast.Module]]:
    return ((p, tree) for p, tree in SOURCES.items() if _layer(p) not in layers)


def _imports(tree: ast.Module) -> Iterator[tuple[str, int]]:
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from ((name.name, node.lineno) for name in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module:
            yield node.module, node.lineno


def _calls(tree: ast.AST) -> Iterator[tuple[str, ast.Call]]:
    """Yield each call with the last word of what is called."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Call):
            if isinstance(node.func, ast.Attribute):
                yield node.func.attr, node
            elif isinstance(node.func, ast.Name):
                yield node.func.id, node


# --- Writing --------------------------------------------------------------------------

_ALWAYS = {
    "create", "bulk_create", "bulk_update", "get_or_create", "update_or_create",
    "create_user", "create_superuser", "set_password",
}  # fmt: skip


def is_write(name: str, call: ast.Call, layer: str) -> bool:
    """Whether a call writes rows, as far as its shape tells.

    A row is saved or deleted without positional arguments and a query set updated by
    keywords only; a picture is saved to somewhere, a dictionary updated from something.
    The packet's rooms hold no rows to save, only pages.
    """
    if not isinstance(call.func, ast.Attribute):
        return False
    if name in ("save", "asave"):
        return not call.args and layer != "packet"
    if name == "delete":
        return not call.args
    if name == "update":
        return not call.args and bool(call.keywords)
    return name in _ALWAYS


@pytest.mark.parametrize(
    ("line", "writes"),
    [
        ("row.save()", True),
        ("row.save(update_fields=['to'])", True),
        ("form.save(commit=False)", True),
        ("picture.save(file, 'JPEG')", False),
        ("Panel.objects.filter(a=1).update(b=2)", True),
        ("digest.update(data)", False),
        ("names.update({'a': 1})", False),
        ("rows.delete()", True),
        ("Panel.objects.bulk_create(rows)", True),
        ("user.set_password(word)", True),
    ],
)
def test_a_write_is_told_by_its_shape(line, writes):
    ((name, call),) = [c for c in _calls(ast.parse(line)) if c[0] not in ("filter",)]
    assert is_write(name, call, "views") is writes


def test_rows_are_written_only_in_actions_and_audit():
    found = [
        f"{path}:{call.lineno} .{name}()"
        for path, tree in _not_in("actions", "audit", "offline", "migrations")
        for name, call in _calls(tree)
        if is_write(name, call, _layer(path)) and path not in WRITES_BESIDE_ACTIONS
    ]
    _none(found)


def _public_functions(tree: ast.Module) -> Iterator[ast.FunctionDef]:
    for node in tree.body:
        if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
            yield node


def is_action(function: ast.FunctionDef) -> bool:
    """Whether a function acts: it opens an act or writes rows; the others only help."""
    return any(
        name == "act" or is_write(name, call, "actions")
        for name, call in _calls(function)
    )


def test_every_action_is_keyword_only_and_says_who():
    found = []
    for path, tree in _in("actions"):
        for function in filter(is_action, _public_functions(tree)):
            arguments = function.args
            keywords = {argument.arg for argument in arguments.kwonlyargs}
            if arguments.args or arguments.posonlyargs or arguments.vararg:
                found.append(f"{path}:{function.lineno} {function.name}: positional")
            if "by" not in keywords and function.name not in ACTIONS_WITHOUT_BY:
                found.append(f"{path}:{function.lineno} {function.name}: no by")
    _none(found)


def test_no_signals_but_the_one_after_migrations():
    found = [
        f"{path}:{line} {module}"
        for path, tree in SOURCES.items()
        for module, line in _imports(tree)
        if module.startswith(("django.dispatch", "django.db.models.signals"))
        and path != "project/apps.py"
    ]
    _none(found)


# --- Reading --------------------------------------------------------------------------


def test_views_ask_queries_and_never_the_database():
    imports = [
        f"{path}:{line} {module}"
        for path, tree in _in("views")
        for module, line in _imports(tree)
        if module.startswith("django.db")
    ]
    managers = [
        f"{path}:{node.lineno} .{node.attr}"
        for path, tree in _in("views", "urls")
        for node in ast.walk(tree)
        if isinstance(node, ast.Attribute)
        and (node.attr == "objects" or node.attr.endswith("_set"))
    ]
    _none(imports + managers)


def test_only_the_clock_asks_for_the_time():
    found = [
        f"{path}:{call.lineno} {name}()"
        for path, tree in _not_in("migrations")
        for name, call in _calls(tree)
        if name in ("now", "utcnow", "today", "localdate", "localtime", "time_ns")
        and not _is_our_clock(call)
        and path not in CLOCKS
    ]
    _none(found)


def _is_our_clock(call: ast.Call) -> bool:
    return (
        isinstance(call.func, ast.Attribute)
        and isinstance(call.func.value, ast.Name)
        and call.func.value.id == "clock"
    )


def test_the_domain_imports_only_itself_and_pure_standard_library():
    found = []
    for path, tree in _in("domain"):
        for module, line in _imports(tree):
            first, _, rest = module.partition(".")
            if first in APPS:
                pure = rest == "domain" or rest.startswith("domain.")
            else:
                pure = first in sys.stdlib_module_names and first not in IMPURE
            if not pure:
                found.append(f"{path}:{line} {module}")
    _none(found)


def test_the_domain_opens_and_prints_nothing():
    found = [
        f"{path}:{call.lineno} {name}()"
        for path, tree in _in("domain")
        for name, call in _calls(tree)
        if isinstance(call.func, ast.Name)
        and name in ("open", "print", "input", "exec", "eval", "__import__")
    ]
    _none(found)


def test_migrations_import_no_rules():
    found = [
        f"{path}:{line} {module}"
        for path, tree in _in("migrations")
        for module, line in _imports(tree)
        if module.partition(".")[0] in APPS
        and not MIGRATIONS_MAY_IMPORT.fullmatch(module)
    ]
    _none(found)


# --- Size -----------------------------------------------------------------------------


def _is_read_by_people(file: Path) -> bool:
    return not {"migrations", "vendor", "__pycache__"} & set(file.parts)


def test_no_file_outgrows_four_hundred_lines():
    folders = [ROOT / name for name in (*APPS, "templates", "tests")]
    files = [
        file
        for folder in folders
        for kind in ("py", "js", "css", "html")
        for file in folder.rglob(f"*.{kind}")
        if _is_read_by_people(file.relative_to(ROOT))
    ]
    found = {
        str(file.relative_to(ROOT)): lines
        for file in [*files, ROOT / "tests" / "run"]
        if (lines := len(file.read_text(encoding="utf-8").splitlines())) > 400
    }
    _none([f"{p}: {n} lines" for p, n in found.items() if p not in LONG_FILES])
    assert set(LONG_FILES) <= set(found), "a file that shrank needs no exception"


# --- Templates ------------------------------------------------------------------------

_FORBIDDEN = {
    "inline script": re.compile(r"<script(?![^>]*\ssrc=)[^>]*>", re.I),
    "inline style sheet": re.compile(r"<style\b", re.I),
    "style attribute": re.compile(r"\sstyle\s*=", re.I),
    "event attribute": re.compile(r"<[^>]*\son[a-z]+\s*=", re.I),
    "javascript address": re.compile(r"javascript:", re.I),
    "unescaped output": re.compile(r"\|\s*safe(seq)?\b|autoescape\s+off"),
}


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        ("<script>go()</script>", "inline script"),
        ('<script type="application/json">{}</script>', "inline script"),
        ('<script type="module" src="x.js"></script>', None),
        ("<style>p {}</style>", "inline style sheet"),
        ('<p style="color: red">', "style attribute"),
        ('<button onclick="go()">', "event attribute"),
        ('<a href="javascript:go()">', "javascript address"),
        ("{{ word|safe }}", "unescaped output"),
        ("{% autoescape off %}", "unescaped output"),
        ('<p class="safe">on = off</p>', None),
    ],
)
def test_a_fault_in_a_template_is_seen(text, fault):
    assert [name for name, seen in _FORBIDDEN.items() if seen.search(text)] == (
        [fault] if fault else []
    )


def _lines_with(pattern: re.Pattern[str], file: Path) -> list[str]:
    text = file.read_text(encoding="utf-8")
    return [
        f"{file.relative_to(ROOT)}:{text.count(chr(10), 0, match.start()) + 1}"
        for match in pattern.finditer(text)
    ]


@pytest.mark.parametrize("fault", _FORBIDDEN)
def test_templates_hold_no_code_and_escape_everything(fault):
    _none([hit for file in TEMPLATES for hit in _lines_with(_FORBIDDEN[fault], file)])


def test_python_marks_nothing_safe_by_hand():
    found = [
        f"{path}:{call.lineno} {name}()"
        for path, tree in SOURCES.items()
        for name, call in _calls(tree)
        if name in ("mark_safe", "SafeString", "SafeText") and path not in MARKED_SAFE
    ]
    _none(found)


# --- Arrows that are only names -------------------------------------------------------

_URL_TAG = re.compile(r"{%-?\s*url\s+['\"]([\w:]+)")
_REVERSERS = ("reverse", "reverse_lazy", "redirect", "resolve_url")


def _pages() -> dict[str, str]:
    """Return each page's name and the app whose map of addresses names it."""
    return {
        str(word.value.value): Path(path).parts[0]
        for path, tree in _in("urls")
        for _, call in _calls(tree)
        for word in call.keywords
        if word.arg == "name" and isinstance(word.value, ast.Constant)
    }


def _named_pages() -> Iterator[tuple[str, str, str]]:
    """Yield where a page is named in Python or a template, in which app, and the page."""
    for path, tree in SOURCES.items():
        for name, call in _calls(tree):
            first = call.args[0] if call.args else None
            if name in _REVERSERS and isinstance(first, ast.Constant):
                yield path, Path(path).parts[0], str(first.value)
    for file in TEMPLATES:
        room = file.relative_to(ROOT / "templates").parts[0]
        for match in _URL_TAG.finditer(file.read_text(encoding="utf-8")):
            if room in APPS:
                yield str(file.relative_to(ROOT)), room, match[1]


def test_no_app_names_a_page_of_a_higher_one():
    pages = _pages()
    assert set(pages.values()) == set(APPS)
    found = [
        f"{path} names {page!r} of {pages[page]}"
        for path, app, page in _named_pages()
        if APPS.index(pages.get(page, app)) > APPS.index(app)
        and (path, page) not in NAMES_OF_HIGHER_PAGES
    ]
    _none(found)


@pytest.mark.parametrize("app", APPS)
def test_there_is_something_to_look_at(app):
    layers = {_layer(path) for path in SOURCES if Path(path).parts[0] == app}
    assert {"domain", "models", "actions"} <= layers
