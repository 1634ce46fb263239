// Answers by key or by swipe; the next picture is fetched while one looks at this one.

const SHORTEST_PX = 45;
const SWIPES = {left: "plant", right: "algae", down: "background", up: "unsure"};
const point = () => document.getElementById("point");

function press(button) {
  if (!button || point().dataset.sent) return;
  point().dataset.sent = "1"; // a key held down answers once
  button.click();
}

document.addEventListener("keydown", event => {
  if (event.altKey || event.ctrlKey || event.metaKey || event.repeat || event.target.closest?.("input, textarea, select")) return;
  const button = point()?.querySelector(`[data-key="${CSS.escape(event.key)}"]`);
  if (!button) return;
  event.preventDefault();
  press(button);
});

let from = null;
document.addEventListener("pointerdown", event => {
  from = event.pointerType === "mouse" || !event.target.closest?.(".crop") ? null : [event.clientX, event.clientY];
});
document.addEventListener("pointerup", event => {
  if (!from) return;
  const [x, y] = [event.clientX - from[0], event.clientY - from[1]];
  from = null;
  if (Math.max(Math.abs(x), Math.abs(y)) < SHORTEST_PX) return;
  const way = Math.abs(x) > Math.abs(y) ? (x < 0 ? "left" : "right") : (y < 0 ? "up" : "down");
  press(point()?.querySelector(`[name="answer"][value="${SWIPES[way]}"]`));
});

function fetchAhead() {
  const ahead = point()?.querySelector("[data-ahead]")?.dataset.ahead;
  if (ahead) new Image().src = ahead;
}

document.addEventListener("htmx:afterSwap", fetchAhead);
document.addEventListener("htmx:responseError", () => { delete point().dataset.sent; });
document.addEventListener("htmx:sendError", () => { delete point().dataset.sent; });
fetchAhead();
