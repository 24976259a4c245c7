// Waits for the screen.

const HIDDEN_MS = 100; // a page in the background is not painted at all

/** @returns {Promise<void>} resolves once what stands on the screen now has been painted */
export const painted = () =>
  new Promise(resolve => {
    setTimeout(resolve, HIDDEN_MS);
    requestAnimationFrame(() => setTimeout(resolve));
  });
