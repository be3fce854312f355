// One beep: right. Two: something is off. Only when wanted.

let context: AudioContext | null = null;

export function signal(kind: "right" | "wrong", sound: boolean): void {
  navigator.vibrate?.(kind === "right" ? 60 : [120, 80, 120]);
  if (!sound) return;
  context ??= new AudioContext();
  void context.resume();
  beep(context, 0, kind === "right" ? 1320 : 440);
  if (kind === "wrong") beep(context, 0.28, 440);
}

function beep(on: AudioContext, after_s: number, hertz: number): void {
  const tone = on.createOscillator();
  const loud = on.createGain();
  tone.type = "square";
  tone.frequency.value = hertz;
  loud.gain.value = 0.35;
  tone.connect(loud).connect(on.destination);
  tone.start(on.currentTime + after_s);
  tone.stop(on.currentTime + after_s + 0.18);
}
