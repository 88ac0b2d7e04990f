// Controls that lie over one another where both can be seen: pairs of their names. What a box cuts off is not seen.
(within) => {
  const seen = (node) => {
    let { left, top, right, bottom } = node.getBoundingClientRect();
    for (let at = node.parentElement; at; at = at.parentElement) {
      if (getComputedStyle(at).overflow === "visible") continue;
      const box = at.getBoundingClientRect();
      left = Math.max(left, box.left);
      top = Math.max(top, box.top);
      right = Math.min(right, box.right);
      bottom = Math.min(bottom, box.bottom);
    }
    return { left, top, right: Math.min(right, innerWidth), bottom: Math.min(bottom, innerHeight) };
  };
  const name = (node) => (node.innerText || node.ariaLabel || node.id || node.className).trim().slice(0, 30);
  const all = [...document.querySelectorAll(within)]
    .filter((one) => one.checkVisibility() && !one.matches(".unseen"))
    .map((one) => [one, seen(one)])
    .filter(([, box]) => box.right - box.left > 1 && box.bottom - box.top > 1);
  const found = [];
  all.forEach(([one, a], k) =>
    all.slice(k + 1).forEach(([other, b]) => {
      if (one.contains(other) || other.contains(one)) return;
      const wide = Math.min(a.right, b.right) - Math.max(a.left, b.left);
      const tall = Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top);
      if (wide > 1 && tall > 1) found.push([name(one), name(other)]);
    }));
  return found;
}
