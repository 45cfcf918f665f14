"""What the page's theme does not do by itself: contrast, focus, and a menu that closes."""

import streamlit as st

# The frame leaves 96 px free above the content; the row of pages needs 60 of them. White on the
# dark theme's primary colour has a contrast of 2. The focus is drawn round the whole of a field.
_STYLE = """<style>
[data-testid="stMainBlockContainer"] { padding-top: 4rem }
[data-testid="stLayoutWrapper"]:has(> .st-key-close_menu) { position: absolute }
[data-testid^="stBaseButton-primary"] { color: light-dark(#ffffff, #10151c) !important }
:is(a, button, summary, [role="tab"], [data-testid="stCode"]):focus-visible,
:is([data-testid="stTextInputRootElement"], [data-testid="stTextAreaRootElement"]):focus-within,
:is([data-testid="stSelectbox"], [data-testid="stMultiSelect"]) div:has(> input:focus-visible),
[data-testid="stSlider"] div:has(> div > input:focus-visible),
label:has(input:focus-visible) {
  outline: 3px solid light-dark(#0b5cad, #9cc9f7) !important; outline-offset: 2px
}
</style>"""
# On a phone the menu lies over the page, and is remembered as it was left.
_CLOSE_MENU = """<script>  // {page}
if (innerWidth < 768) {
  const until = Date.now() + 600;
  const wait = setInterval(() => {
    const button = document.querySelector("[data-testid=stSidebarCollapseButton] button");
    if (button) button.click();
    if (button || Date.now() > until) clearInterval(wait);
  }, 50);
}
</script>"""


def show(page: str) -> None:
    """Put the style in, and close the menu whenever another page, by its path, is opened."""
    st.html(_STYLE)
    with st.container(key="close_menu"):
        st.html(_CLOSE_MENU.replace("{page}", page), unsafe_allow_javascript=True)
