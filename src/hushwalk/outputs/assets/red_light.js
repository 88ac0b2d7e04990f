/* Red light keeps eyes used to the dark. It runs in the head, so that a page that was left red opens red at once. */
(() => {
  "use strict";
  const root = document.documentElement, KEY = root.dataset.light || "hushwalk-light";
  const kept = () => { try { return localStorage.getItem(KEY); } catch { return null; } };
  const keep = light => { try { localStorage.setItem(KEY, light); } catch { /* then it is pressed again */ } };
  const was = kept();
  if (was) root.classList.toggle("dark", was === "red");
  addEventListener("DOMContentLoaded", () => {
    const button = document.getElementById("night");
    const show = () => button.setAttribute("aria-pressed", String(root.classList.contains("dark")));
    button.hidden = false;
    button.addEventListener("click", () => {
      keep(root.classList.toggle("dark") ? "red" : "day");
      show();
    });
    show();
  });
})();
