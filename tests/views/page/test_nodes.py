"""Elements as lists: what becomes of text, attributes and places to fill."""

from views.page.walk import words_in

from storagecalc.views.page.nodes import filled, markup, node


def test_text_and_attributes_are_escaped():
    made = node("p", "<b>&\"'", title='a" onload="x')
    assert markup(made) == ('<p title="a&quot; onload=&quot;x">&lt;b&gt;&amp;&quot;&#x27;</p>')


def test_names_of_attributes_numbers_and_nothing():
    made = node("rect", x=1.0, y=2.25, stroke_width=1, class_="a", data_text=None)
    assert made == ["rect", {"x": "1", "y": "2.2", "stroke-width": "1", "class": "a"}, []]


def test_lists_of_elements_are_taken_apart_and_nothing_is_left_out():
    inner = [node("b", "two"), node("b", "three")]
    made = node("p", "one", inner, None, [])
    assert made[2] == ["one", *inner]
    assert words_in(made) == "one two three"


def test_an_element_without_an_end():
    assert markup(node("input", type="range")) == '<input type="range">'


def test_a_place_is_filled_by_its_name():
    tree = node("div", node("p", data_part="headline"), node("p", "stays", data_part="other"))
    done = filled(tree, {"headline": ["Buy it."]})
    assert words_in(done) == "Buy it. stays"
    assert words_in(tree) == "stays"
