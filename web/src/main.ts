import { mount } from 'svelte';
import App from './App.svelte';
import './look.css';
import { recall } from './look.svelte';
import { en, lengthen } from './words';

await recall();
if (new URLSearchParams(location.search).get('words') === 'long') lengthen(en); // asked for by tests alone
const target = document.getElementById('app');
if (target) mount(App, { target });
performance.mark('app-mounted');

if ('serviceWorker' in navigator && import.meta.env.PROD) {
  navigator.serviceWorker.register('./sw.js').catch(() => {}); // without it all works, but not without a signal
}
