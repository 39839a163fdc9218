import './style/paper.css';
import { mount } from 'svelte';
import App from './App.svelte';

const target = document.getElementById('bench');
if (!target) throw new Error('the page has no place for the bench');
mount(App, { target });
