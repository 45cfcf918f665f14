"""What can be measured of the looks of a page: width, contrast, console."""

DESKTOP, PHONE = (1280, 800), (390, 844)
LEAST_CONTRAST = 4.5

# Contrast of every text on the page, WCAG 2: text colour over what lies behind it.
_CONTRAST = """() => {
  const canvas = document.createElement('canvas').getContext('2d', {willReadFrequently: true});
  const rgba = colour => {
    canvas.clearRect(0, 0, 1, 1); canvas.fillStyle = colour; canvas.fillRect(0, 0, 1, 1);
    const d = canvas.getImageData(0, 0, 1, 1).data; return [d[0], d[1], d[2], d[3] / 255];
  };
  const over = (a, b) => [0, 1, 2].map(i => a[i] * a[3] + b[i] * (1 - a[3])).concat(1);
  const light = c => [0.2126, 0.7152, 0.0722].reduce((sum, w, i) => {
    const v = c[i] / 255;
    return sum + w * (v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4);
  }, 0);
  const back = text => {
    const layers = [], box = text.getBoundingClientRect();
    const x = box.x + box.width / 2, y = box.y + box.height / 2;
    let scrolled = false;  // what scrolls its content lies behind all of it
    for (let e = text; e; e = e.parentElement) {
      const b = e.getBoundingClientRect(), style = getComputedStyle(e);
      scrolled ||= style.overflowY === 'auto' || style.overflowY === 'scroll';
      if (scrolled || (b.left <= x && x <= b.right && b.top <= y && y <= b.bottom))
        layers.unshift(rgba(style.backgroundColor));
    }
    return layers.reduce((below, layer) => over(layer, below), [255, 255, 255, 1]);
  };
  const found = [];
  for (const e of document.querySelectorAll('[data-testid=stMain] *')) {
    const text = [...e.childNodes].filter(n => n.nodeType === 3).map(n => n.data.trim()).join('');
    if (!text || !e.checkVisibility() || e.closest('canvas, style, [data-testid=stIconMaterial]'))
      continue;
    const style = getComputedStyle(e), behind = back(e);
    if (style.stroke === style.fill) continue;  // the ground of a word
    const ink = over(rgba(e.namespaceURI.endsWith('svg') ? style.fill : style.color), behind);
    const [a, b] = [light(ink), light(behind)].sort((x, y) => y - x);
    found.push([(a + 0.05) / (b + 0.05), text]);
  }
  return found;
}"""


def texts(page: object) -> list[list]:
    """Contrast of every text in sight, and the text."""
    return page.evaluate(_CONTRAST)


def faint(found: list[list]) -> list[list]:
    """The texts without enough contrast."""
    return [pair for pair in found if pair[0] < LEAST_CONTRAST]


def is_wider(page: object, width: float) -> bool:
    """The page scrolls sideways."""
    places = ("document.documentElement", "document.querySelector('[data-testid=stMain]')")
    return any(page.evaluate(f"{place}.scrollWidth") > width for place in places)


def failures(page: object) -> list[str]:
    """What the console complains of.

    A deep link makes streamlit ask for two files beside the page that are not there: harmless.
    """
    harmless = "Failed to load resource: the server responded with a status of 404"
    return [text for text in page.errors if not text.startswith(harmless)]


COUNTED = """() => {
  window.counted = {clicks: 0, fields: 0};
  addEventListener('click', e => { counted.clicks += e.isTrusted && e.detail > 0; }, true);
  addEventListener('change', e => {
    counted.fields += e.target.matches('input[type=text], textarea');
  }, true);
}"""


def count(page: object) -> None:
    """Begin to count what a person does on a page that is open: clicks, and fields typed in."""
    page.evaluate(COUNTED)


def counted(page: object) -> tuple[int, int]:
    """Fields and clicks since then."""
    found = page.evaluate("window.counted")
    return found["fields"], found["clicks"]
