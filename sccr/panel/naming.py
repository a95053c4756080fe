"""How a protective device is said in words, whatever the standard."""

from sccr.panel.component import Component
from sccr.units import ampere_rating_text


def device_text(device: Component) -> str:
    """Return a protective device in words, such as '-FC1 (fuse, class J, 60 A)' or '-FC1 (fuse, gG, 63 A)'."""
    words = [device.kind.label]
    if device.fuse_class:
        words.append(f"class {device.fuse_class}")
    if device.utilization_category:
        words.append(device.utilization_category)
    if device.amperes is not None:
        words.append(ampere_rating_text(device.amperes))
    if device.part:
        words.append(device.part)
    return f"{device.id} ({', '.join(words)})"
