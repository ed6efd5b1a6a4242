"""Ways through a page's elements as they leave Python."""


def elements(tree):
    """Every element below and including one."""
    if isinstance(tree, list):
        yield tree
        for child in tree[2]:
            yield from elements(child)


def having(tree, name=None, **attributes):
    """Elements of a name with these attributes; a line stands for a hyphen."""
    wanted = {key.rstrip("_").replace("_", "-"): value for key, value in attributes.items()}
    return [
        each
        for each in elements(tree)
        if name in (None, each[0]) and wanted.items() <= each[1].items()
    ]


def parts_of(tree):
    """The names of all places, in the order of reading."""
    return [each[1]["data-part"] for each in elements(tree) if "data-part" in each[1]]


def words_in(tree):
    """All text of an element, a space between its parts."""
    if not isinstance(tree, list):
        return str(tree)
    return " ".join(filter(None, map(words_in, tree[2])))
