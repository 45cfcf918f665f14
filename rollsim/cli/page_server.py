"""`rollsim page`: the page from wherever rollsim is installed, started in any folder."""

import argparse
import ipaddress

LARGEST_PORT = 65535
_LIBRARIES = ("streamlit", "pandas", "altair", "vl_convert")


def add_page(commands: argparse._SubParsersAction) -> None:
    """Add `page` to the command."""
    about = "the page in a browser, on this computer alone"
    page = commands.add_parser(
        "page", help=about, description=f"{about[0].upper()}{about[1:]}. Ctrl+C ends it."
    )
    page.add_argument(
        "--port", type=_port, metavar="N", help="to listen on; default: 8501 or the next free one"
    )
    page.add_argument(
        "--address",
        type=_address,
        metavar="IP",
        help="to listen on instead; 0.0.0.0 lets the whole network in, without a password",
    )
    page.add_argument("--no-browser", action="store_true", help="do not open one")
    page.set_defaults(answer=_page)


def _port(text: str) -> int:
    if not (text.isdecimal() and 0 < int(text) <= LARGEST_PORT):
        raise argparse.ArgumentTypeError(
            f"found {text!r}; allowed a whole number from 1 to {LARGEST_PORT}"
        )
    return int(text)


def _address(text: str) -> str:
    try:
        return str(ipaddress.ip_address(text))
    except ValueError:
        raise argparse.ArgumentTypeError(
            f"found {text!r}; allowed an address such as 127.0.0.1 or 0.0.0.0"
        ) from None


def _page(arguments: argparse.Namespace) -> str:
    """Run the page until it is stopped."""
    from rollsim.cli.missing import need
    from rollsim.shipped import APP

    need("the page", *_LIBRARIES)
    from streamlit.web import cli

    # As an option, else a setting of the reader's for other pages could open this one.
    words = ["run", str(APP), "--server.address", arguments.address or _declared_address()]
    if arguments.port is not None:
        words += ["--server.port", str(arguments.port)]
    if arguments.no_browser:
        words += ["--server.headless", "true"]
    cli.main(words, standalone_mode=False)
    return "The page has ended."


def _declared_address() -> str:
    """The address that the page's settings declare."""
    import tomllib

    from rollsim.shipped import PAGE_SETTINGS

    return tomllib.loads(PAGE_SETTINGS.read_text(encoding="utf-8"))["server"]["address"]
