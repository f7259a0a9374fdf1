"""A form field in the structure tree, so that a screen reader comes to the signature in its turn.

ISO 14289-1:2014, 7.18.1 and 7.18.4: a widget is inside a Form element and has words of its own.
"""

from typing import Any

from trimscribe.readback import unreadable


def tag_field(writer: Any, words: str) -> None:
    """Put the one form field of a tagged document behind the last element of its structure."""
    from pyhanko.pdf_utils import generic as objects

    generic: Any = objects  # published without types
    name, number = generic.NameObject, generic.NumberObject
    root = writer.root
    if "/StructTreeRoot" not in root:
        raise unreadable("not-a-pdf")
    tree = root["/StructTreeRoot"]
    field = root["/AcroForm"]["/Fields"].raw_get(0)
    page = writer.find_page_for_modification(0)[0]
    whole = _first(tree, generic.ArrayObject)
    element = writer.add_object(
        generic.DictionaryObject(
            {
                name("/Type"): name("/StructElem"),
                name("/S"): name("/Form"),
                name("/P"): whole,
                name("/Pg"): page,
                name("/Alt"): generic.TextStringObject(words),
                name("/K"): generic.DictionaryObject(
                    {name("/Type"): name("/OBJR"), name("/Obj"): field, name("/Pg"): page}
                ),
            }
        )
    )
    document = whole.get_object()
    document["/K"].append(element)
    key = int(tree["/ParentTreeNextKey"])
    numbers = tree["/ParentTree"]["/Nums"]
    numbers.append(number(key))
    numbers.append(element)
    tree[name("/ParentTreeNextKey")] = number(key + 1)
    widget, sheet = field.get_object(), page.get_object()
    widget[name("/StructParent")] = number(key)
    sheet[name("/Tabs")] = name("/S")
    for changed in (document["/K"], document, numbers, tree, widget, sheet):
        writer.update_container(changed)


def _first(tree: Any, array: Any) -> Any:
    """The reference to the element that holds the whole document."""
    kids = tree.raw_get("/K")
    return kids.raw_get(0) if isinstance(kids, array) else kids
