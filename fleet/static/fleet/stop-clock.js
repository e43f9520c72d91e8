// Counts on from the moment that the page names; without it the page shows the time of its making.
"use strict";
for (const clock of document.querySelectorAll("time[data-since]")) {
  const since = Date.parse(clock.dataset.since);
  const shown = () => {
    const seconds = Math.max(0, Math.floor((Date.now() - since) / 1000));
    const two = (number) => String(number).padStart(2, "0");
    const hours = Math.floor(seconds / 3600);
    clock.textContent = `${hours ? `${hours}:` : ""}${two(Math.floor(seconds / 60) % 60)}:${two(seconds % 60)}`;
  };
  shown();
  setInterval(shown, 1000);
}
