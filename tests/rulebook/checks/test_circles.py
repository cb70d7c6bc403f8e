from cds.rulebook.checks.circles import circles


def test_none_where_all_leads_on() -> None:
    assert circles({"a": ("b", "c"), "b": ("c",), "c": ()}) == []


def test_a_name_that_leads_to_itself() -> None:
    assert circles({"a": ("a",)}) == [("a",)]


def test_what_only_leads_into_a_circle_is_not_in_it() -> None:
    assert circles({"a": ("b",), "b": ("c",), "c": ("b",)}) == [("b", "c")]


def test_the_shortest_is_shown() -> None:
    edges = {"a": ("b", "d"), "b": ("c",), "c": ("d",), "d": ("a",)}
    assert circles(edges)[0] == ("a", "d")


def test_circles_that_share_a_name_are_both_shown() -> None:
    assert circles({"a": ("b",), "b": ("a", "c"), "c": ("b",)}) == [("a", "b"), ("c", "b")]


def test_names_without_an_entry_lead_nowhere() -> None:
    assert circles({"a": ("gone",)}) == []
