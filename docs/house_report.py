"""Measures of the house: files a room, lines, what `plan` touches, docstring sections, coined words, names used twice.

Run `python docs/house_report.py [CHECKOUT ...]` for a table, one column a checkout. tests/house holds the bounds.
"""

import ast
import json
import re
import sys
import tomllib
from collections import Counter, defaultdict
from collections.abc import Iterator
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
WORDS = tomllib.loads((ROOT / "tests" / "house" / "coined_words.toml").read_text(encoding="utf-8"))
IN_TEXTS = re.compile(rf"\b({'|'.join(WORDS['texts'])})\b", re.IGNORECASE)
FIRST_OF_A_METHOD = {"self", "cls"}
MANY_ARGUMENTS = 3
Function = ast.FunctionDef | ast.AsyncFunctionDef


@cache
def modules(root: Path) -> dict[str, ast.Module]:
    """Every module of the package under a checkout, by its path in the package."""
    source = root / "src" / "hushwalk"
    return {str(p.relative_to(source)): ast.parse(p.read_text(encoding="utf-8")) for p in sorted(source.rglob("*.py"))}


@cache
def nodes_of(tree: ast.Module) -> tuple[ast.AST, ...]:
    """Every node of a module; walked once for all measures."""
    return tuple(ast.walk(tree))


def room_of(path: str) -> str:
    """Room in which a module lies; the slab for those at the top."""
    return path.split("/", 1)[0] if "/" in path else "slab"


def names_in(tree: ast.Module) -> Iterator[str]:
    """Names that a module gives to things: variables, arguments, functions, classes, fields."""
    for node in nodes_of(tree):
        if isinstance(node, ast.Name) and isinstance(node.ctx, ast.Store):
            yield node.id
        elif isinstance(node, ast.arg):
            yield node.arg
        elif isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef):
            yield node.name
        elif isinstance(node, ast.Attribute) and isinstance(node.ctx, ast.Store):
            yield node.attr


@cache
def words_of(name: str) -> frozenset[str]:
    """Words that a name is made of: ``lay_way`` and ``LayWay`` alike."""
    return frozenset(word.lower() for word in re.findall(r"[A-Z]?[a-z]+|[A-Z]+", name))


def coined_names(root: Path) -> dict[str, list[str]]:
    """Names with a coined word in them, by module; a module's own name counts as one."""
    found = {}
    for path, tree in modules(root).items():
        coined = {*WORDS["everywhere"], *(WORDS["planning"] if room_of(path) == "planning" else ())}
        names = {Path(path).stem, *names_in(tree)} - set(WORDS["plain"])
        hits = sorted(name for name in names if words_of(name) & coined)
        if hits:
            found[path] = hits
    return found


def coined_texts(root: Path) -> dict[str, list[str]]:
    """Coined turns in documents, docstrings and comments, by file."""
    files = [*(root / "docs").rglob("*.md"), *root.glob("*.md"), *(root / "src").rglob("*.py")]
    hits = {str(f.relative_to(root)): [m[0] for m in IN_TEXTS.finditer(f.read_text(encoding="utf-8"))] for f in files}
    return {name: found for name, found in hits.items() if found}


def twins(root: Path) -> tuple[dict[str, list[str]], dict[str, list[str]]]:
    """Class names, and file stems outside cli, that stand for two things."""
    classes: defaultdict[str, list[str]] = defaultdict(list)
    stems: defaultdict[str, list[str]] = defaultdict(list)
    for path, tree in modules(root).items():
        for node in tree.body:
            if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
                classes[node.name].append(path)
        if room_of(path) != "cli" and Path(path).stem not in {"__init__", "story"}:
            stems[Path(path).stem].append(path)
    return {k: v for k, v in classes.items() if len(v) > 1}, {k: v for k, v in stems.items() if len(v) > 1}


def public_functions(root: Path) -> Iterator[tuple[str, Function]]:
    """Public functions and methods outside cli, with their module."""
    for path, tree in modules(root).items():
        if room_of(path) == "cli":
            continue
        bodies = [tree.body, *(n.body for n in tree.body if isinstance(n, ast.ClassDef) and n.name[0] != "_")]
        for body in bodies:
            for node in body:
                if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef) and not node.name.startswith("_"):
                    yield path, node


def sections_missing(function: Function) -> dict[str, bool]:
    """For each section that a function needs, whether its docstring lacks it."""
    doc = ast.get_docstring(function) or ""
    inner = [node for node in ast.walk(function) if node is not function]
    gives = not (isinstance(function.returns, ast.Constant) and function.returns.value is None) and any(
        isinstance(node, ast.Return | ast.Yield | ast.YieldFrom) and node.value is not None for node in inner
    )
    raises = any(isinstance(node, ast.Raise) and node.exc is not None for node in inner)
    needs = {"Parameters": True, "Returns": gives, "Raises": raises}
    # a docstring that says that a function is as another one, or yields, says the same
    heads = {"Parameters": r"^Parameters\n-", "Returns": r"^(Returns|Yields)\n-", "Raises": r"^Raises\n-"}
    return {name: re.search(heads[name], doc, re.MULTILINE) is None for name, need in needs.items() if need}


def arguments_of(function: Function) -> int:
    """How many arguments a function takes, itself not counted."""
    own = function.args
    return len([a for a in [*own.posonlyargs, *own.args, *own.kwonlyargs] if a.arg not in FIRST_OF_A_METHOD])


def docstring_faults(root: Path) -> dict[str, list[str]]:
    """Public functions of three or more arguments that lack a section, by module."""
    found = defaultdict(list)
    for path, function in public_functions(root):
        if arguments_of(function) >= MANY_ARGUMENTS:
            lacks = [name for name, lack in sections_missing(function).items() if lack]
            if lacks:
                found[path].append(f"{function.name} lacks {', '.join(lacks)}")
    return dict(found)


def docstring_shares(root: Path) -> dict[str, float]:
    """Share of the public functions of three or more arguments that have each section they need, 0..1."""
    need: Counter[str] = Counter()
    has: Counter[str] = Counter()
    for _, function in public_functions(root):
        if arguments_of(function) >= MANY_ARGUMENTS:
            for name, lack in sections_missing(function).items():
                need[name] += 1
                has[name] += not lack
    return {name: has[name] / need[name] for name in ("Parameters", "Returns", "Raises")}


def unused_names(root: Path) -> list[str]:
    """Public functions, classes and constants that nothing in the package uses: for tests only, or for nobody."""
    used: Counter[str] = Counter()
    for tree in modules(root).values():
        for node in nodes_of(tree):
            if isinstance(node, ast.Name) and isinstance(node.ctx, ast.Load):
                used[node.id] += 1
            elif isinstance(node, ast.Attribute):
                used[node.attr] += 1
            elif isinstance(node, ast.Constant) and isinstance(node.value, str):
                name = node.value.rpartition(":")[2]  # a name alone, or "module:name" as in the registry of products
                used[name] += name.isidentifier()
    found = []
    for path, tree in modules(root).items():
        if room_of(path) == "cli":
            continue
        for node in tree.body:
            targets = node.targets if isinstance(node, ast.Assign) else [getattr(node, "target", None)]
            names = [t.id for t in targets if isinstance(t, ast.Name)]
            if isinstance(node, ast.FunctionDef | ast.ClassDef):
                names = [node.name]
            found += [f"{path}: {n}" for n in names if not n.startswith("_") and not used[n]]
    return found


def imports_of(root: Path) -> dict[str, set[str]]:
    """Modules of the package that each module imports, wherever in its text; packages bring their ``__init__``."""
    every = {path.removesuffix(".py").removesuffix("/__init__").replace("/", "."): path for path in modules(root)}
    graph = {}
    for path, tree in modules(root).items():
        wanted = set()
        for node in nodes_of(tree):
            if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("hushwalk"):
                below = (node.module or "").removeprefix("hushwalk").removeprefix(".")
                wanted |= {below, *(f"{below}.{a.name}".removeprefix(".") for a in node.names)}
            elif isinstance(node, ast.Import):
                wanted |= {a.name.removeprefix("hushwalk.") for a in node.names if a.name.startswith("hushwalk.")}
            elif isinstance(node, ast.Constant) and str(node.value).startswith("hushwalk."):
                wanted.add(str(node.value).removeprefix("hushwalk."))  # loaded by its name
        graph[path] = {every[name] for name in wanted if name in every}
    return graph


def touched_by(root: Path, start: str = "cli/plan.py") -> set[str]:
    """Modules that a command may load, itself included."""
    graph, found, rest = imports_of(root), set(), [start]
    while rest:
        path = rest.pop()
        if path not in found:
            found.add(path)
            rest += graph[path]
    return {path for path in found if not path.endswith("__init__.py")}


def packages_of(root: Path) -> dict[str, set[str]]:
    """Top names of what each module imports, wherever in its text."""
    found = {}
    for path, tree in modules(root).items():
        names = [a.name for node in nodes_of(tree) if isinstance(node, ast.Import) for a in node.names]
        names += [node.module for node in nodes_of(tree) if isinstance(node, ast.ImportFrom) and node.module]
        found[path] = {name.split(".")[0] for name in names}
    return found


def declared(root: Path) -> dict[str, bool]:
    """Import names of the packages that pyproject.toml asks for; True where every user needs them."""
    project = tomllib.loads((root / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    extras = [line for lines in project.get("optional-dependencies", {}).values() for line in lines]
    as_imported = {"pillow": "PIL", "dask": "distributed"}
    found = {}
    for line in [*extras, *project["dependencies"]]:
        name = re.split(r"[\[<>=!~ ]", line)[0].replace("-", "_").lower()
        found[as_imported.get(name, name)] = line in project["dependencies"]
    return found


def undeclared_imports(root: Path) -> dict[str, set[str]]:
    """Packages that the program imports and pyproject.toml does not name, with the modules that do."""
    known = {*declared(root), "hushwalk", *sys.stdlib_module_names}
    found = defaultdict(set)
    for path, names in packages_of(root).items():
        for name in names - known:
            found[name].add(path)
    return dict(found)


def unused_dependencies(root: Path) -> set[str]:
    """Packages that every user is asked to install and nothing imports."""
    imported = set().union(*packages_of(root).values())
    return {name for name, needed in declared(root).items() if needed} - imported


def counts(found: dict[str, list[str]]) -> dict[str, int]:
    """How many lie in each room."""
    rooms: Counter[str] = Counter()
    for path, hits in found.items():
        rooms[room_of(path.removeprefix("src/hushwalk/"))] += len(hits)
    return dict(sorted(rooms.items()))


def bounds(root: Path) -> str:
    """What is left of each kind, as the text of tests/house/bounds.toml."""
    classes, stems = twins(root)
    tables = {"coined_names": coined_names, "coined_texts": coined_texts, "docstring_sections": docstring_faults}
    lines = [
        "# What is left by room, and by name; made by `python docs/house_report.py --bounds`. It may only shrink.",
        "",
    ]
    lines += [f"class_twins = {json.dumps(sorted(classes))}", f"stem_twins = {json.dumps(sorted(stems))}"]
    lines += [f"unused_names = {json.dumps([name.split(': ')[1] for name in unused_names(root)], indent=4)}"]
    for name, measure in tables.items():
        lines += ["", f"[{name}]", *(f"{room} = {count}" for room, count in counts(measure(root)).items())]
    return "\n".join(lines) + "\n"


def figures(root: Path) -> dict[str, str]:
    """All measures of a checkout as text."""
    files, texts = Counter(room_of(path) for path in modules(root)), coined_texts(root)
    lines: Counter[str] = Counter()
    for folder in ("src", "tests"):
        lines[folder] = sum(p.read_text(encoding="utf-8").count("\n") for p in (root / folder).rglob("*.py"))
    classes, stems = twins(root)
    coined = coined_names(root)
    return {
        "files touched by plan": str(len(touched_by(root))),
        "lines of src": str(lines["src"]),
        "lines of tests": str(lines["tests"]),
        "names with a coined word": str(sum(map(len, coined.values()))),
        "files with such a name": str(len(coined)),
        "coined turns in texts": str(sum(map(len, texts.values()))),
        "class names used twice": str(len(classes)),
        "file stems used twice": str(len(stems)),
        "public names that nothing uses": str(len(unused_names(root))),
        **{f"with {name} where needed": f"{100 * share:.0f} %" for name, share in docstring_shares(root).items()},
        "largest room": "{} ({})".format(*files.most_common(1)[0]),
        **{f"files in {room}": str(files[room]) for room in sorted(files)},
    }


def main(folders: list[str]) -> None:
    """Print a table, one column a checkout; --lists gives what stands behind the counts, --bounds writes them down."""
    if folders[:1] == ["--bounds"]:
        (ROOT / "tests" / "house" / "bounds.toml").write_text(bounds(ROOT), encoding="utf-8")
        return
    if folders[:1] == ["--lists"]:
        named = (coined_names, coined_texts, twins, docstring_faults, unused_names)
        print(json.dumps({measure.__name__: measure(ROOT) for measure in named}, indent=1))
        return
    columns = [figures(Path(folder).resolve()) for folder in folders or [str(ROOT)]]
    for row in dict.fromkeys(name for column in columns for name in column):
        print(f"| {row} | {' | '.join(column.get(row, '-') for column in columns)} |")


if __name__ == "__main__":
    main(sys.argv[1:])
