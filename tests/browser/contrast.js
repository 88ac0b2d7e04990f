// Contrast of text against what lies behind it, by WCAG 2.2 (1.4.3): words -> ratio, for all text that can be seen.
(within) => {
  const light = (parts) => {
    const [r, g, b] = parts.map((part) => {
      const share = part / 255;
      return share <= 0.04045 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4;
    });
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  };
  const numbers = (colour) => colour.match(/[\d.]+/g).map(Number);
  const behind = (node) => {
    for (let at = node; at; at = at.parentElement) {
      const parts = numbers(getComputedStyle(at).backgroundColor);
      if (parts.length < 4 || parts[3] > 0.85) return parts.slice(0, 3);
    }
    return [255, 255, 255];
  };
  const told = [];
  for (const root of document.querySelectorAll(within)) {
    const walk = document.createTreeWalker(root, NodeFilter.SHOW_TEXT);
    while (walk.nextNode()) {
      const node = walk.currentNode.parentElement;
      const words = walk.currentNode.textContent.trim();
      if (!words || !node.checkVisibility() || node.closest("script, style, svg")) continue;
      const pair = [light(numbers(getComputedStyle(node).color).slice(0, 3)), light(behind(node))];
      told.push([words.slice(0, 40), (Math.max(...pair) + 0.05) / (Math.min(...pair) + 0.05)]);
    }
  }
  return told;
}
