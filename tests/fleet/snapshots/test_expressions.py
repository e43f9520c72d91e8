import pytest

from fleet.snapshots.expressions import ExpressionError, compile_expression, expression_of

DOCUMENT = {
    "net": {"pan id": 5, "": 6, 'a"b\\c': 7},
    "keys": [{"live": False, "no": 1}, {"live": True, "no": 2}],
    "rows": [[1, 2], [3, 4]],
}


@pytest.mark.parametrize(
    ("expression", "found"),
    [
        ('net."pan id"', 5),
        ("keys[1].no", 2),
        ("keys[-1].no", 2),
        ("keys[7].no", None),
        ("keys[?live] | [0].no", 2),
        ("keys[?no==`1`] | [0].live", False),
        ("rows[1:]", [[3, 4]]),
        ("rows[].no", []),
        ("values(net) | [0]", 5),
        ("net.keys", None),
        ("@", DOCUMENT),
    ],
)
def test_an_expression_finds_what_it_names(expression: str, found: object) -> None:
    assert compile_expression(expression).search(DOCUMENT) == found  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("path", "expression"),
    [
        ((), "@"),
        (("net", "pan id"), 'net."pan id"'),
        (("rows", 1, 0), "rows[1][0]"),
        ((0, "a"), "[0].a"),
        (("net", ""), 'net.""'),
        (("net", 'a"b\\c'), 'net."a\\"b\\\\c"'),
    ],
)
def test_a_path_becomes_an_expression(path: tuple[str | int, ...], expression: str) -> None:
    assert expression_of(path) == expression


@pytest.mark.parametrize(("name", "value"), DOCUMENT["net"].items())  # type: ignore[union-attr]
def test_any_name_can_be_reached(name: str, value: int) -> None:
    assert compile_expression(expression_of(("net", name))).search(DOCUMENT) == value  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("expression", "right"),
    [
        ("", "an expression of 1 to 300 characters"),
        ("a" * 301, "an expression of 1 to 300 characters"),
        ("a.", "an expression in JMESPath"),
        ("a[", "an expression in JMESPath"),
        ("'a", "an expression in JMESPath"),
        ("a[][][][][]", "at most 4 flattenings and 1 multiple selection"),
        ("[@,@][] | [@,@][]", "at most 4 flattenings and 1 multiple selection"),
        ("[" + ",".join("@" * 17) + "]", "a selection of at most 16 values"),
        ("sort(a)", "no functions but contains, ends_with, join"),
        ("nothing(a)", "no functions but contains, ends_with, join"),
        ("!" * 90 + "a", "an expression of at most 60 levels"),
    ],
)
def test_an_expression_that_is_wrong_or_costs_too_much_is_refused(expression: str, right: str) -> None:
    with pytest.raises(ExpressionError) as refused:
        compile_expression(expression)

    assert str(refused.value).startswith(right)


@pytest.mark.parametrize(
    "expression", ["keys(rows)", "values(@.rows)", "join(',', rows)", "max(keys)", "length(`1`)"]
)
def test_an_expression_that_does_not_fit_its_value_is_refused_without_a_traceback(expression: str) -> None:
    with pytest.raises(ExpressionError, match="to fit what stands here"):
        compile_expression(expression).search(DOCUMENT)  # type: ignore[arg-type]


def test_an_expression_of_300_characters_is_taken() -> None:
    assert compile_expression("a" * 300).search({"a" * 300: 1}) == 1
