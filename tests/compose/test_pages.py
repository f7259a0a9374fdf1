"""A few pages as images, so that a change of looks is seen before it is shipped."""

import io
from collections.abc import Callable

import pypdfium2
import pytest
from pytest_regressions.image_regression import ImageRegressionFixture

from trimscribe.compose.document import compose
from trimscribe.model.document import Content
from trimscribe.registry import Registry
from trimscribe.world import World

pytestmark = pytest.mark.typesets


# Look at both images before you accept a difference: pytest --force-regen.
@pytest.mark.parametrize(("name", "page"), [("demo", 1), ("demo", 2), ("outside", 1)])
def test_page(
    name: str,
    page: int,
    content_of: Callable[[str], Content],
    registry: Registry,
    world: World,
    image_regression: ImageRegressionFixture,
) -> None:
    document = compose(content_of(name), registry, world)
    report = registry.get("outputs", "pdf").make(document)
    pdf = pypdfium2.PdfDocument(report.data)
    picture = pdf[page - 1].render(scale=0.8, grayscale=False).to_pil().convert("RGB")
    pdf.close()
    data = io.BytesIO()
    picture.save(data, "PNG", optimize=True)
    image_regression.check(data.getvalue(), diff_threshold=0.3)
