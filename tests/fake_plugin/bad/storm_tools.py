"""Plugins that do not offer what their kind must."""

from types import SimpleNamespace

of_old = SimpleNamespace(contract=0, name="storm")
undated = SimpleNamespace(name="storm", template="storm.typ.j2", view=print)
hollow = SimpleNamespace(contract=1, name="storm")
with_text_for_a_folder = SimpleNamespace(contract=1, name="storm", folder="themes/storm")
renamed = SimpleNamespace(contract=1, name="squall", suffix=".txt", make=print)
