/** The one alarm this app has. Browsers let a page sound only after a first touch, and not at all when the phone is locked. */
let context: AudioContext | null = null;

/** Called as the app opens, for browsers that let it sound at once, and on every touch, for those that wait for one. */
export function allowSound(): void {
  try {
    context ??= new AudioContext();
    if (context.state === "suspended") void context.resume();
  } catch {
    context = null;
  }
}

/** Whether an alarm would be heard now; not after a page was opened again and not yet touched. */
export function canSound(): boolean {
  return context !== null && context.state === "running";
}

/** Two rising tones, three times, and vibration where the phone has it: about two seconds. Answers whether it could sound. */
export function ring(): boolean {
  allowSound();
  if ("vibrate" in navigator) navigator.vibrate([500, 150, 500, 150, 500]);
  if (context === null) return false;
  const start = context.currentTime + 0.02;
  for (let n = 0; n < 3; n += 1) {
    tone(context, 760, start + n * 0.65, 0.28);
    tone(context, 1140, start + n * 0.65 + 0.3, 0.28);
  }
  return context.state === "running";
}

function tone(audio: AudioContext, hertz: number, at: number, seconds: number): void {
  const source = audio.createOscillator();
  const volume = audio.createGain();
  source.type = "square";
  source.frequency.value = hertz;
  volume.gain.setValueAtTime(0, at);
  volume.gain.linearRampToValueAtTime(0.6, at + 0.02);
  volume.gain.setValueAtTime(0.6, at + seconds - 0.03);
  volume.gain.linearRampToValueAtTime(0, at + seconds);
  source.connect(volume).connect(audio.destination);
  source.start(at);
  source.stop(at + seconds);
}
