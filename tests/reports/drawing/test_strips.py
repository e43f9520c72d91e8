from reports.drawing.strips import Strip, beside, height_of, paginate


def strip(height: float, gap: float = 0.0, keep: bool = False, again: tuple[Strip, ...] = ()) -> Strip:
    return Strip(height, lambda pen, x, top: None, gap, keep, again)


def tops(strips: list[Strip]) -> list[list[float]]:
    return [[placed.top for placed in page] for page in paginate(strips, 100, 0)]


def test_strips_fall_under_each_other_with_their_gaps():
    assert tops([strip(20), strip(30, gap=5), strip(10)]) == [[100, 75, 45]]


def test_a_strip_that_does_not_fit_opens_a_page():
    assert tops([strip(60), strip(50)]) == [[100], [100]]


def test_the_gap_above_the_first_strip_of_a_page_is_dropped():
    assert tops([strip(60), strip(50, gap=10)]) == [[100], [100]]


def test_a_strip_that_fills_the_page_to_the_point_stays_on_it():
    assert tops([strip(60), strip(40)]) == [[100, 40]]


def test_a_head_moves_with_the_strip_it_is_kept_with():
    assert tops([strip(60), strip(10, keep=True), strip(40)]) == [[100], [100, 90]]


def test_a_table_head_is_repeated_where_its_rows_go_on():
    head = strip(10)
    pages = paginate([head, strip(80, again=(head,)), strip(80, again=(head,))], 100, 0)
    assert [placed.strip is head for placed in pages[1]] == [True, False]


def test_strips_kept_together_beyond_a_page_are_cut_after_all():
    assert tops([strip(40, keep=True), strip(40, keep=True), strip(40)]) == [[100], [100, 60]]


def test_no_content_is_still_a_page():
    assert paginate([], 100, 0) == [[]]


def test_columns_are_as_high_as_the_higher_of_them():
    (made,) = beside([(0, [strip(10), strip(20, gap=5)]), (50, [strip(12)])])
    assert made.height == 35


def test_columns_too_high_for_a_page_are_set_one_under_the_other():
    assert len(beside([(0, [strip(300), strip(300)]), (50, [strip(12)])])) == 3


def test_the_first_gap_does_not_count():
    assert height_of([strip(10, gap=7), strip(10, gap=7)]) == 27
