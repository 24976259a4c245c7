// The rendering library under one name, for every module with a screen in it.
export { h, render, Fragment } from '../vendor/preact.js';
export { useEffect, useLayoutEffect, useRef, useState, useMemo } from '../vendor/preact-hooks.js';

/** @typedef {import('../vendor/preact.js').ComponentChildren} Children */
