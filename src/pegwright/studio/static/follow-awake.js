/** Keeping the screen on, and a small buzz at each row, where the device can do that. */

/** Holds the screen on while the page is seen; says so where it cannot. */
export class Awake {
  /** @param {(words: string, on: boolean) => void} say */
  constructor(say) {
    this.say = say;
    this.wanted = false;
    this.lock = null;
    document.addEventListener("visibilitychange", () => {
      if (document.visibilityState === "visible" && this.wanted) this.take();
    });
  }

  static get possible() {
    return "wakeLock" in navigator;
  }

  set(on) {
    this.wanted = on;
    if (on) return this.take();
    this.lock?.release().catch(() => undefined);
    this.lock = null;
    this.say("The screen goes dark as usual.", false);
    return Promise.resolve();
  }

  async take() {
    if (!Awake.possible) {
      this.say(window.isSecureContext
        ? "This browser cannot keep the screen on. Set the screen's own time-out longer while you knit."
        : "Over a plain network address a browser does not let a page keep the screen on. Let this phone in encrypted, under At the loom in the studio, or set the screen's own time-out longer.", false);
      return;
    }
    try {
      this.lock = await navigator.wakeLock.request("screen");
      this.say("The screen stays on while this page is open.", true);
    } catch {
      this.say("The device does not keep the screen on just now; its battery may be low.", false);
    }
  }
}

/** A short buzz, or two where a step is done. */
export function buzz(stepDone) {
  navigator.vibrate?.(stepDone ? [40, 60, 40] : 25);
}
