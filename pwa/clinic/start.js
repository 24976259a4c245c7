// Before any page: the language of whoever works here, so that the pages and
// their constants are made in it. Where its words cannot be had, in English.
import { firstLanguage, language, useLanguage } from './text.js';

useLanguage(firstLanguage())
  .catch(console.error)
  .then(() => {
    const { html, rtl } = language();
    document.documentElement.lang = html;
    document.documentElement.dir = rtl ? 'rtl' : 'ltr';
    return import('./main.js');
  })
  .catch(e => {
    if (!document.getElementById('app')?.firstChild) location.replace('/plain'); // never a blank page
    throw e;
  });
