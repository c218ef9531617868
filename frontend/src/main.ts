import { mount } from 'svelte';
import App from './App.svelte';
import './app.css';
import { applyTheme, settings } from './lib/settings.svelte';

applyTheme(settings.theme);
const target = document.getElementById('app');
if (target) mount(App, { target });
