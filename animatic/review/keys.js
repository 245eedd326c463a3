// What the mouse or a finger has put the focus on leaves the keys to the film. What Tab or a
// screen reader has put it on keeps those that it has a use for, so that it can be worked.
let isPressing = false, isPointed = false, isSpaceTaken = false;
document.addEventListener("mousedown", () => { isPressing = isPointed = true; }, true);
document.addEventListener("mouseup", () => { isPressing = false; }, true);
document.addEventListener("focusin", () => { isPointed = isPressing; });

const TYPED = "textarea, input:not([type=range]), select";
function hasUseFor(on, event) {
  if (on.matches(TYPED)) return true;
  if (isPointed) return false;
  const isArrow = event.key.startsWith("Arrow");
  if (on.matches("button, summary")) return event.key === " ";
  if (on.matches("input")) return isArrow && !event.shiftKey;
  return on.matches(".wide");
}
document.addEventListener("keydown", (event) => {
  // A mouse button let go outside of the window is never heard of.
  isPressing = false;
  const on = document.activeElement || document.body;
  if (event.ctrlKey || event.altKey || event.metaKey || hasUseFor(on, event)) return;
  const isInFilm = by("player").contains(on), far = event.shiftKey ? second : 1;
  const deeds = {
    ArrowLeft: () => go(frame - far),
    ArrowRight: () => go(frame + far),
    " ": play,
    ArrowUp: isInFilm ? () => byShots(-1) : null,
    ArrowDown: isInFilm ? () => byShots(1) : null,
  };
  if (!deeds[event.key]) return;
  event.preventDefault();
  isSpaceTaken = event.key === " ";
  deeds[event.key]();
});
document.addEventListener("keyup", (event) => {
  // Some browsers press a button when space is let go, whatever became of the key going down.
  if (event.key === " " && isSpaceTaken) event.preventDefault();
  if (event.key === " ") isSpaceTaken = false;
});
