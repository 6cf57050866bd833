"""What a test asks of a page as it is drawn: measured in the browser, on the boxes and colours that a person sees."""

from __future__ import annotations

from typing import Final

#: How far the document is wider than the window, and which boxes stick out [px].
OVERFLOW: Final = """() => {
  const wide = document.documentElement.clientWidth;
  const inside = (node) => node.closest('.scroll, .skip, .unseen, .patterns') !== null;
  const out = [...document.querySelectorAll('body *')]
    .filter((node) => !inside(node) && node.getClientRects().length > 0)
    .filter((node) => node.getBoundingClientRect().right > wide + 0.5 || node.getBoundingClientRect().left < -0.5)
    .map((node) => `${node.tagName} ${node.getAttribute('class') ?? ''}`);
  return {by: document.documentElement.scrollWidth - wide, out};
}"""

#: Figures of a drawing that touch its shapes or each other. Figures of the scale that are not shown do not count.
COLLISIONS: Final = """(selector) => {
  const box = (node) => node.getBoundingClientRect();
  const shown = (node) => node.getClientRects().length > 0 && box(node).width > 0;
  const apart = (a, b) => a.right <= b.left || b.right <= a.left || a.bottom <= b.top || b.bottom <= a.top;
  const found = [];
  for (const drawing of document.querySelectorAll(selector)) {
    const texts = [...drawing.querySelectorAll('text:not(.halo)')].filter(shown);
    const solid = '.band, .tick, .outside, .proposed, .design, .dot, .cap';
    const shapes = [...drawing.querySelectorAll(solid)].filter(shown);
    const room = drawing.getAttribute('aria-label');
    for (const text of texts) {
      for (const shape of shapes) {
        const name = shape.getAttribute('class');
        if (!apart(box(text), box(shape))) found.push(`${room} "${text.textContent}" on ${name}`);
      }
      for (const other of texts) {
        if (other !== text && !apart(box(text), box(other))) found.push(`${room} "${text.textContent}" on text`);
      }
    }
  }
  return found;
}"""

#: Every shown text with the contrast of its ink to what lies behind it, after WCAG 2.2's relative luminance.
#: Hollow figures are inked by their outline.
CONTRASTS: Final = """() => {
  const canvas = document.createElement('canvas').getContext('2d', {willReadFrequently: true});
  const rgba = (colour) => {
    canvas.clearRect(0, 0, 1, 1);
    canvas.fillStyle = colour;
    canvas.fillRect(0, 0, 1, 1);
    return [...canvas.getImageData(0, 0, 1, 1).data];
  };
  const luminance = ([r, g, b]) => [r, g, b]
    .map((c) => c / 255)
    .map((c) => (c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4))
    .reduce((sum, c, index) => sum + c * [0.2126, 0.7152, 0.0722][index], 0);
  const ratio = (a, b) => {
    const [low, high] = [luminance(a), luminance(b)].sort((x, y) => x - y);
    return (high + 0.05) / (low + 0.05);
  };
  const behind = (node) => {
    for (let up = node; up; up = up.parentElement) {
      const colour = rgba(getComputedStyle(up).backgroundColor);
      if (colour[3] === 255) return colour;
    }
    return [255, 255, 255];
  };
  const outlined = (style) => style.stroke !== 'none' && !style.paintOrder.startsWith('stroke');
  const ink = (node) => {
    const style = getComputedStyle(node);
    if (node instanceof SVGElement) return outlined(style) ? style.stroke : style.fill;
    return style.webkitTextStrokeWidth === '0px' ? style.color : style.webkitTextStrokeColor;
  };
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  const found = [];
  while (walker.nextNode()) {
    const node = walker.currentNode.parentElement;
    const text = walker.currentNode.textContent.trim();
    if (!text || node.closest('.halo, .unseen, noscript, script') || node.getClientRects().length === 0) continue;
    found.push({text, ratio: ratio(rgba(ink(node)), behind(node))});
  }
  return found;
}"""

#: What a hand or a keyboard can act on, with its size and its name: its own, its label's, or what it says.
TARGETS: Final = """() => [...document.querySelectorAll('a[href], button, summary, input, select')]
  .filter((node) => node.getClientRects().length > 0 && !node.closest('.skip'))
  .map((node) => {
    const {width, height} = node.getBoundingClientRect();
    const label = node.labels?.[0]?.textContent;
    return {name: (node.getAttribute('aria-label') ?? label ?? node.textContent).trim(), width, height};
  })"""

#: Inline styles and scripts, which the content policy would drop, and addresses outside this server.
FOREIGN: Final = """() => [...document.querySelectorAll('[style], [onclick], [onload], script:not([src]), style')]
  .map((node) => node.outerHTML.slice(0, 80))
  .concat([...document.querySelectorAll('[src], [href]')]
    .map((node) => node.getAttribute('src') ?? node.getAttribute('href'))
    .filter((address) => !address.startsWith('/') && !address.startsWith('#')))"""
