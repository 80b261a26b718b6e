"""What a page says of itself: inputs without a name, words that are cut, parts that overlap, words too faint to read."""

from __future__ import annotations

from typing import Any

from playwright.sync_api import Locator

# WCAG 2.1, success criterion 1.4.3, level AA.
LEAST_CONTRAST = 4.5

_SEEN = """
  const seen = element => element.checkVisibility({ visibilityProperty: true }) && element.getClientRects().length > 0;
  const words = element => (element.innerText || element.value || '').trim().slice(0, 60);
"""

_INPUTS = (
    "root => {"
    + _SEEN
    + """
  return Array.from(root.querySelectorAll('input, select, textarea, button, [role=slider]')).filter(seen).map(element => {
    const beside = element.closest('.airside-slider')?.querySelector('label');
    const label = element.labels?.[0] || (element.getAttribute('role') === 'slider' ? beside : null);
    return {
      kind: element.getAttribute('role') || element.type || element.tagName.toLowerCase(),
      name: (element.getAttribute('aria-label') || label?.innerText || element.innerText || '').trim(),
      tooltip: element.title || label?.title || label?.querySelector('[title]')?.title || '',
    };
  });
}"""
)

_CUT = (
    "root => {"
    + _SEEN
    + """
  // Widgets have margins of 2 px, in which nothing is seen.
  const found = [], frame = root.getBoundingClientRect(), slack = 2.5;
  for (let around = root; around; around = around.parentElement) {
    const scrolls = ['auto', 'scroll'].includes(getComputedStyle(around).overflowX);
    if (scrolls && around.scrollWidth > around.clientWidth)
      found.push(`${around.className} scrolls sideways: ${around.scrollWidth} in ${around.clientWidth} px`);
  }
  for (const element of root.querySelectorAll('label, button, img, input, select, textarea, li, b, span')) {
    if (!seen(element) || !element.offsetWidth) continue;
    const box = element.getBoundingClientRect();
    if (box.right > frame.right + slack || box.left < frame.left - slack)
      found.push(`${element.tagName} "${words(element)}" sticks out: ${box.left} to ${box.right} in ${frame.left} to ${frame.right}`);
    const isText = ['LABEL', 'BUTTON', 'LI'].includes(element.tagName);
    if (isText && (element.scrollWidth > element.clientWidth + slack || element.scrollHeight > element.clientHeight + 3))
      found.push(`${element.tagName} "${words(element)}" is cut: ${element.scrollWidth} × ${element.scrollHeight} in `
        + `${element.clientWidth} × ${element.clientHeight} px`);
  }
  return found;
}"""
)

_OVERLAPS = (
    "root => {"
    + _SEEN
    + """
  const parts = Array.from(root.querySelectorAll('label, button, img, input, select, textarea, .airside-head, .airside-figures b'))
    .filter(element => seen(element) && element.offsetWidth && element.offsetHeight);
  const boxes = parts.map(element => element.getBoundingClientRect());
  const found = [];
  for (let i = 0; i < parts.length; i++) for (let j = i + 1; j < parts.length; j++) {
    if (parts[i].contains(parts[j]) || parts[j].contains(parts[i])) continue;
    const a = boxes[i], b = boxes[j];
    const wide = Math.min(a.right, b.right) - Math.max(a.left, b.left);
    const high = Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top);
    if (wide > 2 && high > 2) found.push(`"${words(parts[i])}" lies on "${words(parts[j])}"`);
  }
  return found;
}"""
)

_CONTRASTS = (
    "root => {"
    + _SEEN
    + """
  const canvas = document.createElement('canvas').getContext('2d', { willReadFrequently: true });
  const parse = text => {
    canvas.clearRect(0, 0, 1, 1); canvas.fillStyle = text; canvas.fillRect(0, 0, 1, 1);
    const [r, g, b, a] = canvas.getImageData(0, 0, 1, 1).data;
    return [r, g, b, a / 255];
  };
  const over = (top, under) => [0, 1, 2].map(i => top[i] * top[3] + under[i] * (1 - top[3])).concat(1);
  const ground = element => {
    const above = element ? ground(element.parentElement) : [255, 255, 255, 1];
    return element ? over(parse(getComputedStyle(element).backgroundColor), above) : above;
  };
  const opacity = element => element ? Number(getComputedStyle(element).opacity) * opacity(element.parentElement) : 1;
  const bright = rgb => {
    const [r, g, b] = rgb.slice(0, 3).map(v => v / 255).map(v => v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4);
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  };
  const found = [];
  for (const element of root.querySelectorAll('*')) {
    if (!seen(element) || element.disabled || element.closest('.airside-stale')) continue;
    const own = Array.from(element.childNodes).some(n => n.nodeType === 3 && n.textContent.trim());
    if (!own && !element.value || ['OPTION', 'STYLE'].includes(element.tagName)) continue;
    const under = ground(element), ink = parse(getComputedStyle(element).color);
    ink[3] *= opacity(element);
    const [a, b] = [bright(over(ink, under)), bright(under)].sort((x, y) => y - x);
    found.push([(a + 0.05) / (b + 0.05), words(element)]);
  }
  return found;
}"""
)


def inputs(root: Locator) -> list[dict[str, str]]:
    """Kind, name and tooltip of every input, button and slider that is seen."""
    return list(root.evaluate(_INPUTS))


def cut(root: Locator) -> list[str]:
    """What sticks out, is cut, or makes the output scroll sideways, in words."""
    return list(root.evaluate(_CUT))


def overlaps(root: Locator) -> list[str]:
    """Pairs of parts of which one lies on the other, in words."""
    return list(root.evaluate(_OVERLAPS))


def faint(root: Locator) -> list[str]:
    """Words whose contrast with their ground is below the least, with that contrast."""
    found: list[Any] = root.evaluate(_CONTRASTS)
    assert len(found) > 20, "the page has hardly any words"
    return [f"{contrast:.1f}: {text}" for contrast, text in found if contrast < LEAST_CONTRAST]
