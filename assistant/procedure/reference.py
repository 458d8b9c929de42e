"""The field-by-field reference of procedure files in Markdown, from the published schema."""

from collections.abc import Iterator

from assistant.procedure.schema import procedure_schema

Entry = dict[str, object]


def field_reference() -> str:
    """Every group of keys with its keys: what they hold, whether they must be given, what they mean."""
    schema = procedure_schema()
    groups = {"Procedure": schema, **_entries(schema["$defs"])}
    return "\n".join(line for name, group in groups.items() for line in _group(name, group, groups))


def _entries(value: object) -> dict[str, Entry]:
    """A group of the schema as entries by name."""
    return {str(name): entry for name, entry in value.items()} if isinstance(value, dict) else {}


def _group(name: str, group: Entry, groups: dict[str, Entry]) -> Iterator[str]:
    if "enum" in group:
        yield from (f"### {name}", "", f"{_summary(group)} One of {_words(group['enum'])}.", "")
        return
    required = group.get("required")
    yield from (
        f"### {name}",
        "",
        _summary(group),
        "",
        "| Key | Holds | Must | Meaning |",
        "|---|---|---|---|",
    )
    for key, entry in _entries(group.get("properties")).items():
        must = "yes" if isinstance(required, list) and key in required else ""
        meaning = _summary(entry) or _summary(groups.get(str(entry.get("$ref")).rsplit("/", 1)[-1], {}))
        yield f"| `{key}` | {_holds(entry)} | {must} | {meaning} |"
    yield ""


def _summary(entry: Entry) -> str:
    return " ".join(str(entry.get("description", "")).split())


def _words(values: object) -> str:
    return ", ".join(f"`{value}`" for value in values) if isinstance(values, list) else ""


def _holds(entry: Entry) -> str:
    """What a field holds, in a few words with its limits."""
    alternatives = entry.get("anyOf") or entry.get("oneOf")
    if isinstance(alternatives, list):
        return " or ".join(_holds(one) for one in alternatives if one.get("type") != "null")
    if "$ref" in entry:
        return _linked(str(entry["$ref"]).rsplit("/", 1)[-1])
    if "const" in entry:
        return f"`{entry['const']}`"
    if "enum" in entry:
        return _words(entry["enum"])
    items = entry.get("items")
    if entry.get("type") == "array" and isinstance(items, dict):
        return f"list of {_holds(items)}"
    if entry.get("type") == "number":
        return f"number{_limits(entry)}"
    return {"string": "text", "boolean": "true or false"}.get(str(entry.get("type")), "")


def _linked(name: str) -> str:
    return f"[{name}](#{name.lower()})"


def _limits(entry: Entry) -> str:
    low, high = entry.get("minimum", entry.get("exclusiveMinimum")), entry.get("maximum")
    if low is None or high is None:
        return ""
    above = "above " if "exclusiveMinimum" in entry else ""
    return f", {above}{low:g} to {high:g}"
