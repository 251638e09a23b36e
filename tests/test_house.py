"""The rules of the house: what stands where, who may know whom, and how big a module may grow."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from statistics import median

import pytest

from scrieve.model.checks import CHECKS
from scrieve.shared.findings import Level
from scrieve.shared.limits import LIMITS
from scrieve.shared.tolerances import ROUNDING, exceeds, falls_short

ROOT = Path(__file__).parents[1]
TOP = {
    "README.md",
    "DEVELOPERS.md",
    "pyproject.toml",
    "LICENSE",
    "shared",
    "model",
    "viewer",
    "hulls",
    "tests",
}
KNOWS = {"shared": set(), "model": {"shared"}, "viewer": {"shared", "model"}}
LONGEST, USUAL = 500, 150
TEXT = {".py", ".md", ".toml", ".cfg", ".yml", ".yaml", ".txt", ".json", ".csv", ".sh", ""}

# Somebody's own folders, and where packages come from: neither belongs into a project for everybody.
MACHINE = re.compile(r"(?<![\w.:/-])(/(home|root|Users|work|tmp|mnt|opt|srv)/\w|[A-Z]:\\Users\\)")
REGISTRY = re.compile(r"pypi[.]org|pythonhosted[.]org|index[-_]url|npmjs[.]org", re.IGNORECASE)


LEFT = {"__pycache__", "build", "dist", "scrieve.egg-info", ".venv", ".venv-test", ".pytest_cache", ".hypothesis"}
"""Folders that installing and testing leave, as in .gitignore."""


@cache
def tracked() -> list[Path]:
    """Every file that is or would be under version control, as paths from the root."""
    if not (ROOT / ".git").exists():  # an unpacked archive holds just what is tracked, and what using it leaves
        return sorted(path.relative_to(ROOT) for path in ROOT.rglob("*") if path.is_file() and not LEFT & {*path.parts})
    listed = subprocess.run(
        ["git", "-c", "safe.directory=*", "ls-files", "-z", "--cached", "--others", "--exclude-standard"],
        cwd=ROOT,
        capture_output=True,
        check=True,
    ).stdout.decode()
    return sorted({Path(name) for name in listed.split("\0") if name and (ROOT / name).is_file()})


def modules(*folders: str) -> list[Path]:
    """The Python files of the house's folders, as paths from the root."""
    return [path for path in tracked() if path.suffix == ".py" and path.parts[0] in (folders or KNOWS)]


@cache
def tree(path: Path) -> ast.Module:
    return ast.parse((ROOT / path).read_text(encoding="utf-8"), filename=str(path))


def imports(path: Path) -> Iterator[tuple[int, str]]:
    """How deep each import is relative (0 for absolute), and what it names."""
    for node in ast.walk(tree(path)):
        if isinstance(node, ast.Import):
            yield from ((0, name.name) for name in node.names)
        elif isinstance(node, ast.ImportFrom):
            yield node.level, node.module or ""


def dotted(path: Path) -> str:
    """The name under which a file of the tree is imported."""
    return ".".join(["scrieve", *path.with_suffix("").parts]).removesuffix(".__init__")


# ---- what stands where


def test_the_root_holds_what_the_house_has_and_nothing_else():
    assert {path.parts[0] for path in tracked() if not path.parts[0].startswith(".")} == TOP


def test_no_file_names_somebodys_machine_or_a_registry():
    found = []
    for path in tracked():
        if path.suffix in TEXT:
            text = (ROOT / path).read_text(encoding="utf-8", errors="replace")
            found += [f"{path}: {hit.group()}" for rule in (MACHINE, REGISTRY) for hit in rule.finditer(text)]
            found += [f"{path}: {place}" for place in {str(ROOT), str(Path.home())} if len(place) > 5 and place in text]
    assert found == []


# ---- who may know whom


def test_the_arrows_run_from_viewer_to_model_to_shared():
    for path in modules():
        own = path.parts[0]
        for level, name in imports(path):
            if level == 0 and name.split(".")[0] == "scrieve":
                assert len(name.split(".")) > 1, f"{path} imports the whole of scrieve"
                assert name.split(".")[1] in KNOWS[own], f"{path} imports {name}"


def test_the_scene_knows_no_paper():
    named = [name for path in modules("viewer") if path.parts[1] == "scene" for _, name in imports(path)]
    assert named and not [name for name in named if "paper" in name.split(".")]


WORDS_OF_THE_TRADE = {"board", "corner", "dowel", "label", "outline"}
"""Names of checks that are names of things as well: these stand for a check only beside a finding's `check`."""


def test_the_viewer_names_no_check():
    found = []
    for path in modules("viewer"):
        for node in ast.walk(tree(path)):
            texts = {each.value for each in ast.walk(node) if isinstance(each, ast.Constant)} & set(CHECKS)
            asks = any(isinstance(each, ast.Attribute) and each.attr == "check" for each in ast.walk(node))
            if isinstance(node, ast.Constant) and texts - WORDS_OF_THE_TRADE:
                found.append(f"{path}:{node.lineno} {texts}")
            if isinstance(node, ast.Compare | ast.Subscript | ast.Call) and asks and texts:
                found.append(f"{path}:{node.lineno} {texts}")
    scripts = [path for path in tracked() if path.suffix == ".js"]
    for path in scripts:
        quoted = set(re.findall(r"""["'`]([a-z-]+)["'`]""", (ROOT / path).read_text(encoding="utf-8")))
        found += [f"{path} {slug}" for slug in quoted & set(CHECKS) - WORDS_OF_THE_TRADE]
    assert scripts
    assert found == []


def test_imports_are_relative_inside_a_folder_and_stay_inside_it():
    for path in modules():
        depth = len(path.parts) - 1
        for level, name in imports(path):
            assert level <= depth, f"{path} reaches out of {path.parts[0]} by a relative import of {name}"


def test_no_module_imports_the_tests_or_the_demonstration_boats():
    for path in modules():
        assert not {name.split(".")[0] for level, name in imports(path) if level == 0} & {"tests", "hulls", "making"}


def test_no_import_hides_inside_a_function():
    for path in modules():
        for function in ast.walk(tree(path)):
            if isinstance(function, ast.FunctionDef | ast.AsyncFunctionDef):
                hidden = [node for node in ast.walk(function) if isinstance(node, ast.Import | ast.ImportFrom)]
                assert not hidden, f"{path}:{hidden[0].lineno} imports inside {function.name}"


def loaded_by(code: str, *arguments: str) -> set[str]:
    """The modules loaded in a fresh process after this code, which must end well."""
    done = subprocess.run(
        [sys.executable, "-c", f"{code}\nimport sys\nprint()\nprint(*sorted(sys.modules))", *arguments],
        capture_output=True,
        text=True,
        cwd=ROOT,
        timeout=120,
    )
    assert done.returncode == 0, done.stderr
    return {name.split(".")[0] for name in done.stdout.splitlines()[-1].split()}


def test_the_whole_model_knows_no_screen():
    names = [dotted(path) for path in modules("model", "shared")]
    assert len(names) > 20
    loaded = loaded_by("\n".join(f"import {name}" for name in names))
    assert "numpy" in loaded
    assert not loaded & {"vtk", "vtkmodules", "pyvista", "PySide6", "cyclopts", "rich", "scipy", "trimesh"}


def test_check_loads_nothing_that_is_slow_to_load():
    plans = sorted((ROOT / "hulls").glob("*/plan.toml"))
    assert plans, "there is no demonstration boat"
    code = "import sys\nfrom scrieve.viewer.verbs.commands import run\nassert run(sys.argv[1:]) == 0"
    loaded = loaded_by(code, "check", str(plans[0]), "--fail-on", "never")
    assert {"shapely", "ezdxf"} <= loaded
    assert not loaded & {"trimesh", "scipy", "vtk", "vtkmodules", "pyvista", "PySide6", "matplotlib"}


def test_the_scene_and_the_drawings_on_paper_do_not_know_each_other():
    apart = {("scene", "paper"), ("paper", "scene"), ("marks", "scene"), ("marks", "paper")}
    for path in modules("viewer"):
        for level, name in imports(path):
            if level != 1:
                pair = path.parts[1], name.removeprefix("scrieve.viewer.").split(".")[0]
                assert pair not in apart, f"{path} imports {name}"


# ---- how big, how well described


def test_no_module_is_long_and_most_are_short():
    lengths = {path: len((ROOT / path).read_text(encoding="utf-8").splitlines()) for path in modules()}
    assert {path: n for path, n in lengths.items() if n > LONGEST} == {}
    assert median(lengths.values()) <= USUAL


def test_no_class_name_stands_twice():
    places: dict[str, list[str]] = {}
    for path in modules():
        for node in ast.walk(tree(path)):
            if isinstance(node, ast.ClassDef):
                places.setdefault(node.name.lstrip("_"), []).append(str(path))
    assert {name: where for name, where in places.items() if len(where) > 1} == {}


def undescribed(path: Path) -> Iterator[str]:
    """Public modules, classes, functions and methods without a docstring; dunders and what nests in functions apart."""

    def look(node: ast.Module | ast.ClassDef | ast.FunctionDef | ast.AsyncFunctionDef, name: str) -> Iterator[str]:
        if ast.get_docstring(node) is None:
            yield name
        if not isinstance(node, ast.Module | ast.ClassDef):
            return
        for child in node.body:
            described = isinstance(child, ast.ClassDef | ast.FunctionDef | ast.AsyncFunctionDef)
            if described and not child.name.startswith("_") and not _is_overload(child):
                yield from look(child, f"{name}.{child.name}")

    yield from look(tree(path), dotted(path))


def _is_overload(node: ast.AST) -> bool:
    decorators = getattr(node, "decorator_list", [])
    return any(ast.unparse(decorator).split(".")[-1] in {"overload", "setter"} for decorator in decorators)


def test_everything_public_is_described():
    assert [name for path in modules() for name in undescribed(path)] == []


def test_nothing_is_caught_that_is_not_understood_but_in_one_place():
    broad = []
    for path in modules():
        for node in ast.walk(tree(path)):
            if isinstance(node, ast.ExceptHandler):
                names = ast.unparse(node.type) if node.type else "everything"
                if re.search(r"\b(Exception|BaseException|everything)\b", names):
                    broad.append(str(path))
    assert broad == [str(Path("viewer/verbs/commands.py"))]


# ---- the checks


@pytest.mark.parametrize("slug", sorted(CHECKS))
def test_every_check_has_a_page_a_title_limits_that_exist_and_one_scope(slug):
    check = CHECKS[slug]
    assert check.slug == slug and check.level in Level
    assert check.title and not check.title.endswith(".")
    for part in (check.page.looks_at, check.page.matters, check.page.limit, check.page.cure):
        assert len(part.split()) >= 5, f"a part of the page is missing or empty: {part!r}"
        assert part.strip().endswith((".", "!", "?"))
    assert set(check.limits) <= set(LIMITS)
    assert sum(way is not None for way in (check.on_frame, check.on_batten, check.on_boat)) == 1


@pytest.mark.parametrize("slug", sorted(CHECKS))
def test_every_check_lives_in_a_file_of_its_name_and_has_its_proof(slug):
    name = slug.replace("-", "_")
    assert (ROOT / "model" / "checks" / f"{name}.py").is_file()
    tests = [path for path in (ROOT / "tests").rglob("test_*.py") if path != Path(__file__)]
    mention = re.compile(rf'"{slug}"|\bchecks\.{name}\b|\bchecks import [^\n]*\b{name}\b')
    proof = [path for path in tests if path.stem == f"test_{name}" or mention.search(path.read_text(encoding="utf-8"))]
    assert proof, f"no test asks for {slug}"


def test_every_limit_has_an_origin_and_belongs_to_a_check():
    used = {name for check in CHECKS.values() for name in check.limits}
    for limit in LIMITS.values():
        assert limit.origin and limit.what
        assert limit.name in used, f"no check goes by {limit.name}"


def test_checks_compare_with_a_limit_by_the_one_rule():
    bare = re.compile(r"(?<!counts\[gusset, part\]) [<>]=? (?:limits?\b|\w+\.limits?\b|foul\b|warning - C|error\b)")
    for path in (ROOT / "model" / "checks").glob("*.py"):
        found = [line for line in path.read_text(encoding="utf-8").splitlines() if bare.search(line)]
        assert all("np.all(left <= limit)" in line for line in found), (
            path.name,
            found,
        )  # a fit, not a limit of a part
    assert not exceeds(1.0 + ROUNDING, 1.0)
    assert exceeds(1.01, 1.0)
    assert not falls_short(1.0 - ROUNDING, 1.0)
    assert falls_short(0.99, 1.0)
