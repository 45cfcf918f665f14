"""How fast the page answers a key on the slider; the figures are told, none decides a test."""

import statistics

import pytest

MOVES = 20
pytestmark = pytest.mark.browser

# Presses a key and waits for picture and numbers; then until nothing has changed for a while.
MEASURE = """async ([key, quiet]) => {
  const svg = () => document.querySelectorAll('.rear-view svg')[1];
  const words = () => svg().getAttribute('aria-label');
  const drawn = () => svg().querySelector('.body').getAttribute('transform');
  const before = [words(), drawn()];
  const began = performance.now();
  let changed = null, last = began;
  return await new Promise(done => {
    const watch = new MutationObserver(() => {
      last = performance.now();
      if (changed === null && words() !== before[0] && drawn() !== before[1]) changed = last;
    });
    watch.observe(document.querySelector('[data-testid=stApp]'),
      {subtree: true, childList: true, characterData: true, attributes: true});
    const end = setInterval(() => {
      const now = performance.now();
      if ((changed !== null && now - last > quiet) || now - began > 10000) {
        clearInterval(end); watch.disconnect();
        done([changed === null ? null : changed - began, last - began]);
      }
    }, 10);
  });
}"""


def test_from_key_press_to_changed_picture(visit, record_property, capsys):
    page = visit("crew-cab-touring", query="&lateral=0.1")
    slider = page.get_by_role("slider")
    slider.focus()
    for key in ("ArrowRight", "ArrowLeft"):  # the first answers pay for what is cached later
        slider.press(key)
        page.wait_for_timeout(800)
    changed, settled = [], []
    for move in range(MOVES):
        key = "ArrowRight" if move % 20 < 10 else "ArrowLeft"
        page.evaluate(f"window.measured = ({MEASURE})(['{key}', 400]); 0")
        page.keyboard.press(key)
        first, last = page.evaluate("window.measured")
        assert first is not None, f"move {move}: picture or numbers did not change"
        changed.append(first)
        settled.append(last)
    for name, times in (("picture and numbers", changed), ("settled", settled)):
        text = f"{statistics.median(times):.0f} ms median, {max(times):.0f} ms most"
        record_property(name, text)
        with capsys.disabled():
            print(f"\n{name}: {text} of {MOVES} key presses")
