"""Rules of the house that no linter knows."""

import ast
import functools
import re
import subprocess
import sys
from collections import Counter
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent.parent
PACKAGE = ROOT / "app" / "holdwright"
MODULES = sorted(PACKAGE.rglob("*.py"))
TOP_LEVEL = {
    "README.md",
    "DEVELOPERS.md",
    "LICENSE",
    "pyproject.toml",
    "app",
    "resources",
    "sample_data",
    "tests",
}
HARD_CAP = 500
LONGEST_FUNCTION = 60
MOST_METHODS = 12


def tracked() -> list[str]:
    """Give the files git tracks; without git (an unpacked archive) there is nothing to judge."""
    answer = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=False)
    if answer.returncode:
        pytest.skip("not a git checkout")
    return answer.stdout.split()


def test_the_top_level_holds_nothing_else():
    tops = {name.split("/")[0] for name in tracked()}
    assert {top for top in tops if not top.startswith(".")} <= TOP_LEVEL


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(PACKAGE)))
def test_modules_and_functions_stay_small(path):
    text = path.read_text("utf-8")
    assert text.count("\n") <= HARD_CAP
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.FunctionDef):
            assert node.end_lineno - node.lineno < LONGEST_FUNCTION, node.name
        if isinstance(node, ast.ClassDef):
            public = [
                each
                for each in node.body
                if isinstance(each, ast.FunctionDef)
                and not each.name.startswith("_")
                and not any(
                    getattr(mark, "id", getattr(mark, "attr", ""))
                    in ("property", "cached_property", "setter")
                    for mark in each.decorator_list
                )
            ]
            assert len(public) <= MOST_METHODS or _only_answers_qt(node), node.name


def _only_answers_qt(node: ast.ClassDef) -> bool:
    """Tell whether a class's public methods beyond the cap are Qt's own names, which are camel case."""
    own = [
        each.name
        for each in node.body
        if isinstance(each, ast.FunctionDef) and each.name == each.name.lower()
    ]
    return len([name for name in own if not name.startswith("_")]) <= MOST_METHODS


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(PACKAGE)))
def test_no_error_is_swallowed_and_nothing_is_unfinished(path):
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.ExceptHandler):
            assert not all(isinstance(each, ast.Pass) for each in node.body), node.lineno
        if isinstance(node, ast.Raise):
            assert "NotImplementedError" not in ast.dump(node), node.lineno


def test_every_package_and_module_says_what_it_is_for():
    silent = [str(path) for path in MODULES if not ast.get_docstring(ast.parse(path.read_text("utf-8")))]
    assert silent == []


def test_no_file_carries_a_path_of_one_machine():
    pattern = re.compile(r"/(home|root|Users)/\w+/")
    spoilt = []
    for name in tracked():
        path = ROOT / name
        if path.suffix in {".py", ".md", ".toml", ".json", ".txt"} and path.is_file():
            text = path.read_text("utf-8", errors="replace")
            spoilt += [name] if pattern.search(text) and name != "tests/rules/test_house.py" else []
    assert spoilt == []


def test_start_up_of_the_command_line_loads_nothing_heavy():
    """Heavy libraries would make `--help` slow; each is imported where it is used."""
    heavy = (
        "numpy",
        "scipy",
        "manifold3d",
        "pydantic",
        "trimesh",
        "vtkmodules",
        "pyvista",
        "PySide6",
        "tqdm",
    )
    code = f"import holdwright.entry, sys; print([name for name in {heavy!r} if name in sys.modules])"
    answer = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        check=True,
        env={"PYTHONPATH": str(ROOT / "app"), "PATH": ""},
    )
    assert answer.stdout.strip() == "[]"


def test_every_operation_is_registered_in_shop_order_and_tested():
    from holdwright.operations import OPERATIONS

    paths = (PACKAGE / "operations").glob("*.py")
    declared = re.compile(r"\(\w*Operation\[\w+Parameters\]")
    files = {path.stem for path in paths if declared.search(path.read_text("utf-8"))}
    names = [operation.name for operation in OPERATIONS]
    assert set(names) == files
    orders = [operation.order for operation in OPERATIONS]
    assert orders == sorted(set(orders))
    for name in names:
        assert (ROOT / "tests" / "operations" / f"test_{name}.py").is_file(), name


def test_every_parameter_has_a_default_a_title_and_a_description():
    from holdwright.operations import OPERATIONS
    from holdwright.parameters.describe import describe

    for operation in OPERATIONS:
        described = {field.name: field.description for field in describe(operation.parameters)}
        for name, field in operation.parameters.model_fields.items():
            assert not field.is_required(), (operation.name, name)
            assert field.title, (operation.name, name)
            assert described[name], (operation.name, name)


def test_no_two_modules_and_no_two_public_classes_share_a_name():
    modules, classes = Counter(), Counter()
    for path in MODULES:
        modules[path.stem] += 1
        tree = ast.parse(path.read_text("utf-8"))
        classes.update(each.name for each in tree.body if isinstance(each, ast.ClassDef))
    shared_modules = {name for name, count in modules.items() if count > 1} - {"__init__"}
    shared_classes = {name for name, count in classes.items() if count > 1 and not name.startswith("_")}
    assert (shared_modules, shared_classes) == (set(), set())


def test_every_path_the_guide_names_exists():
    text = (ROOT / "DEVELOPERS.md").read_text("utf-8")
    named = set(re.findall(r"`([a-z_]+/[\w/]*(?:\.\w+)?)`", text))
    missing = [name for name in named if not ((PACKAGE / name).exists() or (ROOT / name).exists())]
    assert len(named) > 20
    assert missing == []
    beside = set(re.findall(r"`(\w+\.py)`", text))
    assert beside - {path.name for top in ("app", "tests") for path in (ROOT / top).rglob("*.py")} == set()


def _defined(module: str) -> set[str]:
    """Give the names at the top of a module of the package, and the modules in it where it is a folder."""
    path = PACKAGE.parent.joinpath(*module.split("."))
    file = path / "__init__.py" if path.is_dir() else path.with_suffix(".py")
    if not file.is_file():
        return set()
    inside = {each.stem for each in path.iterdir()} if path.is_dir() else set()
    nodes: list[ast.AST] = []
    for top in ast.parse(file.read_text("utf-8")).body:
        nodes += [top] if isinstance(top, ast.FunctionDef | ast.ClassDef) else ast.walk(top)
    named = {each.name for each in nodes if isinstance(each, ast.FunctionDef | ast.ClassDef)}
    stored = {each.id for each in nodes if isinstance(each, ast.Name) and isinstance(each.ctx, ast.Store)}
    imported = {each.asname or each.name for each in nodes if isinstance(each, ast.alias)}
    return inside | named | stored | imported


def test_benches_pictures_and_tests_import_what_there_is():
    """No run of the tests loads the benches: what is renamed would stay wrong there."""
    defined, wrong = functools.cache(_defined), []
    for path in sorted((ROOT / "tests").rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("holdwright."):
                known = defined(node.module)
                wrong += [
                    f"{path.name}: {node.module}.{each.name}" for each in node.names if each.name not in known
                ]
    assert wrong == []
