// The sound for a new emergency: three short tones, made here, off until
// somebody turns it on.

const KEY = 'nightkeep-clinic-sound';

/** @returns {boolean} whether this browser shall ring */
export const soundWanted = () => localStorage.getItem(KEY) === 'on';

/** @param {boolean} on */
export const wantSound = on => localStorage.setItem(KEY, on ? 'on' : 'off');

let touched = false;

/**
 * Whether a ring would be held back: browsers keep a page silent until somebody
 * has clicked or pressed a key in it (HTML, "user activation").
 * @returns {boolean}
 */
export const silent = () => !touched && !navigator.userActivation?.hasBeenActive;

/**
 * Calls once when the page may make a sound.
 * @param {() => void} job
 * @returns {() => void} ends it
 */
export function onSound(job) {
  const hear = () => {
    touched = true;
    end();
    job();
  };
  const end = () => ['pointerup', 'keyup'].forEach(type => removeEventListener(type, hear));
  ['pointerup', 'keyup'].forEach(type => addEventListener(type, hear));
  return end;
}

/** Rings once. Does nothing where the browser has no sound or forbids it. */
export function sound() {
  if (typeof AudioContext === 'undefined') return;
  const context = new AudioContext();
  const tones = [
    [0, 660],
    [0.22, 660],
    [0.44, 880],
  ];
  for (const [at, pitch] of tones) {
    const tone = context.createOscillator();
    const loud = context.createGain();
    const start = context.currentTime + at;
    tone.frequency.value = pitch;
    loud.gain.setValueAtTime(0.0001, start);
    loud.gain.exponentialRampToValueAtTime(0.25, start + 0.02);
    loud.gain.exponentialRampToValueAtTime(0.0001, start + 0.18);
    tone.connect(loud).connect(context.destination);
    tone.start(start);
    tone.stop(start + 0.2);
  }
  setTimeout(() => context.close(), 1500);
}
