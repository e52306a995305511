"""What the trade calls some leaves. Names only: nothing is classified from this table.

Source: trade articles on splits and spares; the mirror image goes by the same name where the
articles say so, and both are listed here.
"""

TRADE_NAMES: dict[str, tuple[str, ...]] = {
    "7-10": ("bedposts", "goal posts"),
    "4-6-7-10": ("big four",),
    "4-6-7-9-10": ("Greek church",),
    "4-6-7-8-10": ("Greek church",),
    "5-7-10": ("lily", "sour apple"),
    "2-7": ("baby split",),
    "3-10": ("baby split",),
    "8-10": ("Cincinnati",),
    "7-9": ("Cincinnati",),
    "5-10": ("dime store",),
    "2-4-5-8": ("bucket",),
    "3-5-6-9": ("bucket",),
    "1-2-4-7": ("picket fence",),
    "1-3-6-10": ("picket fence",),
    "2-7-10": ("Christmas tree",),
    "3-7-10": ("Christmas tree",),
}
