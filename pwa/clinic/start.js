// Before any page: the language of whoever works here, so that the pages and
// their constants are made in it. Where its words cannot be had, in English.
import { languageFor } from '../ui/languages.js';
import { kept, useLanguage } from './text.js';

useLanguage(kept() || languageFor(navigator.languages))
  .catch(console.error)
  .then(() => import('./main.js'));
