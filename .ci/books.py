"""The books of a preview close: good + slug + head + tail + remnant is the strip there was.

Read by another language than wrote them. Usage: books.py PREVIEW.json
"""

import json
import sys

PARTS = ["good_nm", "slug_nm", "head_nm", "tail_nm", "remnant_nm"]


def check(account, name):
    parts = sum(account[part] for part in PARTS)
    if parts != account["strip_nm"]:
        sys.exit(f"{name}: parts sum to {parts} nm, the strip was {account['strip_nm']} nm")
    used = account["strip_nm"] - account["remnant_nm"]
    if account["used_nm"] != used:
        sys.exit(f"{name}: used {account['used_nm']} nm is not strip less remnant, {used} nm")
    print(f"{name}: {account['strip_nm']} nm of strip, accounted for to the nanometre")


with open(sys.argv[1], encoding="utf-8") as file:
    preview = json.load(file)
check(preview["total"]["account"], "all coils")
for coil in preview["coils"]:
    check(coil["account"], coil.get("coil") or coil.get("id"))
