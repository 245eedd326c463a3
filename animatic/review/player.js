const by = (id) => document.getElementById(id);
const data = JSON.parse(by("data").textContent);
const video = by("video"), labels = data.labels.split(" ");
const rate = data.rate[0] / data.rate[1], last = data.frames - 1;
let frame = 0;

const bytes = Uint8Array.from(atob(by("film").textContent.trim()), (c) => c.charCodeAt(0));
video.src = URL.createObjectURL(new Blob([bytes], { type: "video/mp4" }));
video.addEventListener("error", () => {
  by("trouble").hidden = false;
  by("trouble").textContent = "This browser cannot show the film (H.264 in MP4). The shot list and the notes work all the same.";
});

const within = (list, n) => {
  let found = 0;
  while (found + 1 < list.length && list[found + 1].start <= n) found++;
  return found;
};
const shotAt = (n) => within(data.shots, n);
const say = (words) => { by("said").textContent = words; };

function show(n) {
  frame = n;
  const at = shotAt(n), shot = data.shots[at], panel = within(data.panels, n);
  by("shot").textContent = shot.name;
  by("in-shot").textContent = `frame ${n - shot.start + 1} of ${shot.frames}`;
  by("label").textContent = labels[n];
  by("frame").textContent = n;
  by("slider").value = n;
  by("slider").setAttribute("aria-valuetext", `frame ${n}, shot ${shot.name}`);
  by("note-where").textContent = `shot ${shot.name}, frame ${n - shot.start + 1} of the shot (film frame ${n})`;
  mark("#strip button", panel);
  mark("#shots tbody tr", at);
}
function mark(what, index) {
  document.querySelectorAll(what).forEach((one, n) => {
    const was = one.hasAttribute("aria-current");
    if (n !== index) one.removeAttribute("aria-current");
    else if (!was) {
      one.setAttribute("aria-current", "true");
      const strip = by("strip");
      if (what.startsWith("#strip")) strip.scrollLeft = one.parentElement.offsetLeft - strip.offsetLeft - strip.clientWidth / 2 + one.clientWidth / 2;
    }
  });
}
function go(n) {
  video.pause();
  n = Math.min(last, Math.max(0, n));
  // The middle of a frame: no rounding can land on its neighbour.
  video.currentTime = (n + 0.5) / rate;
  show(n);
  const shot = data.shots[shotAt(n)];
  say(`shot ${shot.name}, frame ${n - shot.start + 1}`);
}
const second = Math.round(rate);
function byShots(step) {
  const at = shotAt(frame), start = data.shots[at].start;
  const to = step < 0 && frame > start ? at : Math.min(data.shots.length - 1, Math.max(0, at + step));
  go(data.shots[to].start);
}
function play() {
  if (!video.paused) { video.pause(); return; }
  if (frame === last) video.currentTime = 0;
  video.play().catch(() => say("the film cannot be played here"));
}

if (video.requestVideoFrameCallback) {
  const seen = (now, facts) => {
    if (!video.paused) show(Math.min(last, Math.max(0, Math.round(facts.mediaTime * rate))));
    video.requestVideoFrameCallback(seen);
  };
  video.requestVideoFrameCallback(seen);
} else {
  const tick = () => {
    if (!video.paused) show(Math.min(last, Math.floor(video.currentTime * rate + 0.001)));
    requestAnimationFrame(tick);
  };
  requestAnimationFrame(tick);
}
video.addEventListener("play", () => { by("play").textContent = "Stop"; });
video.addEventListener("pause", () => {
  by("play").textContent = "Play";
  // Played to rest: stand on a whole frame, so that what is seen is what a note names.
  if (!video.ended) video.currentTime = (frame + 0.5) / rate;
});
video.addEventListener("ended", () => go(last));

by("play").addEventListener("click", play);
by("slider").addEventListener("input", () => go(Number(by("slider").value)));
by("sound").addEventListener("click", () => {
  video.muted = !video.muted;
  by("sound").setAttribute("aria-pressed", String(!video.muted));
});
document.addEventListener("click", (event) => {
  const button = event.target.closest("button");
  if (!button) return;
  const { step, second: seconds, shot, go: to } = button.dataset;
  if (step) go(frame + Number(step));
  if (seconds) go(frame + Number(seconds) * second);
  if (shot) byShots(Number(shot));
  if (to !== undefined) go(Number(to));
});
