/* What all rooms share: asking the desk, saying what it answers, making elements. No map here. */
"use strict";
const Desk = (() => {
  const key = document.querySelector("meta[name=hushwalk-key]").content;
  const rooms = {};
  const find = id => document.getElementById(id);
  const make = (tag, text, name) => {
    const made = document.createElement(tag);
    if (text !== undefined) made.textContent = text;
    if (name) made.className = name;
    return made;
  };
  const button = (text, work, name) => {
    const made = make("button", text, name);
    made.type = "button";
    made.addEventListener("click", work);
    return made;
  };
  const say = words => { find("said").textContent = words; };
  let refused = ""; /* stays until something else is asked */
  const fault = words => {
    const shown = words || refused;
    if (find("fault").textContent !== shown) find("fault").textContent = shown;
    find("fault").hidden = !shown;
  };
  /* Say what was refused, until something else is asked. */
  const refuse = words => { refused = words; fault(words); };
  class Refused extends Error {}
  /* Ask the desk: gives its answer; a fault is shown, and raised as Refused. */
  async function ask(path, said, options = {}) {
    let answer;
    try {
      answer = await fetch(`/api/${path}`, {
        method: "POST", credentials: "same-origin",
        headers: { "X-Hushwalk-Key": key, "Content-Type": "application/json" },
        body: JSON.stringify(said || {}), ...options,
      });
    } catch (_) {
      fault("The desk does not answer. Start it again with: hushwalk desk");
      throw new Refused("gone");
    }
    const words = await answer.text();
    let found = {};
    try { found = JSON.parse(words); } catch (_) { found = { fault: words }; }
    if (!options.quietly) {
      refused = answer.ok ? "" : found.fault;
      fault(refused || found.fault);
    }
    if (!answer.ok) throw new Refused(found.fault);
    if (found.stopped) throw new Refused("It was stopped.");
    return found;
  }
  /* Send a file as it is. */
  const send = (path, file, options = {}) => ask(`${path}?name=${encodeURIComponent(file.name)}`, null, {
    ...options, body: file, headers: { "X-Hushwalk-Key": key, "Content-Type": "application/octet-stream" },
  });
  async function news(after) {
    const answer = await fetch(`/api/news?after=${after}`, { credentials: "same-origin", headers: { "X-Hushwalk-Key": key } });
    if (!answer.ok) throw new Refused(await answer.text());
    return answer.json();
  }
  return { rooms, find, make, button, say, fault, refuse, ask, send, news, Refused };
})();
