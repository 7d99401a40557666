import { mount } from 'svelte';
import App from './App.svelte';
import './look.css';

const target = document.getElementById('app');
if (target) mount(App, { target });
performance.mark('app-mounted');

if ('serviceWorker' in navigator && import.meta.env.PROD) {
  navigator.serviceWorker.register('./sw.js').catch(() => {}); // without it all works, but not without a signal
}
