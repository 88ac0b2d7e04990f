"""The head of every page: nothing is fetched and only our own scripts run; its first button is red light.

What stands on the pages is theirs.
"""

import base64
import hashlib
from collections.abc import Sequence


def security_policy(scripts: Sequence[str] = ()) -> str:
    """Give the tag that has a browser fetch nothing and run these scripts only."""
    hashes = " ".join(
        f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'" for text in scripts
    )
    policy = (
        f"default-src 'none'; {f'script-src {hashes}; ' if scripts else ''}style-src 'unsafe-inline'; img-src data:; "
        "base-uri 'none'; form-action 'none'"
    )
    return f'<meta http-equiv="Content-Security-Policy" content="{policy}">'
