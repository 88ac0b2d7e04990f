/* Starts the page: which room is open, and what is new. The last script of the page. */
"use strict";
const Start = (() => {
  const { rooms, find, news, fault } = Desk;
  const state = { last: { news: -1, plan: null }, room: null };
  function open(name) {
    if (state.room) { find(state.room).hidden = true; rooms[state.room].close(); }
    state.room = name;
    find(name).hidden = false;
    find("panel").scrollTop = 0;
    document.querySelectorAll("[data-room]").forEach(one => {
      if (one.dataset.room === name) one.setAttribute("aria-current", "step");
      else one.removeAttribute("aria-current");
    });
    rooms[name].open();
    rooms[name].news(state.last);
  }
  /* Take what the desk says is new. */
  function take(said) {
    state.last = said;
    fault(said.fault);
    if (said.trip) {
      find("title").textContent = said.trip.title;
      document.title = `${said.trip.title}: the desk`;
      if (state.room !== "morning") rooms.morning.ground(said);
    }
    if (!state.room) open(said.version === null ? "country" : "morning");
    else rooms[state.room].news(said);
    return said;
  }
  async function listen() {
    for (;;) {
      try {
        const said = await news(state.last.news);
        if (said.news !== state.last.news) take(said);
      } catch (wrong) {
        fault(wrong instanceof Desk.Refused ? wrong.message : "The desk does not answer. Start it again with: hushwalk desk");
        await new Promise(done => setTimeout(done, 1500));
      }
    }
  }
  document.querySelectorAll("[data-room]").forEach(one => one.addEventListener("click", () => open(one.dataset.room)));
  listen();
  return { take, open, get last() { return state.last; } };
})();
