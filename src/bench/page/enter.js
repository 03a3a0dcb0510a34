// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// The code asked for where the bench is used from another device.
document.getElementById('enter').addEventListener('submit', async (event) => {
  event.preventDefault();
  const reply = await fetch('/api/enter', { method: 'POST', headers: { 'Content-Type': 'application/json' }, body: JSON.stringify({ code: document.getElementById('code').value }) });
  if (reply.ok) {
    location.reload();
    return;
  }
  const { problems } = await reply.json();
  document.getElementById('wrong').textContent = `${problems[0].what}; ${problems[0].remedy}.`;
});
