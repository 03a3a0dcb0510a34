// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// Requests to the bench. What goes wrong is thrown as an object {status, problems}.

async function ask(method, path, body, type = 'application/json') {
  let reply;
  try {
    reply = await fetch(path, {
      method,
      headers: body === undefined ? {} : { 'Content-Type': type },
      body: body instanceof Blob ? body : body === undefined ? undefined : JSON.stringify(body),
    });
  } catch {
    throw { status: 0, problems: [{ code: '', where: '', what: 'the bench does not answer', remedy: 'start it again: nothing saved is lost' }] };
  }
  const text = await reply.text();
  let answer = {};
  try {
    answer = JSON.parse(text);
  } catch {
    answer = { problems: [{ code: '', where: path, what: `answered with ${reply.status}`, remedy: 'load the page again' }] };
  }
  if (!reply.ok) throw { status: reply.status, problems: answer.problems ?? [] };
  return answer;
}

const encoded = (name) => name.split('/').map(encodeURIComponent).join('/');

export const getJob = () => ask('GET', '/api/job');
export const getFile = (name) => ask('GET', `/api/files/${encoded(name)}`);
export const putFile = (name, text, stamp, what, joins) => ask('PUT', `/api/files/${encoded(name)}`, { text, stamp, what, joins });
export const getKinds = () => ask('GET', '/api/kinds');
export const begin = (what) => ask('POST', '/api/begin', { with: what });
export const undo = () => ask('POST', '/api/undo', {});
export const redo = () => ask('POST', '/api/redo', {});
export const adjust = (name, text, quick = false) => ask('POST', '/api/readings', { name, text, quick });
export const sendPicture = (file) => ask('PUT', `/api/pictures/${encodeURIComponent(file.name)}`, file, 'image/x-fairhole');
export const needBoard = (name) => ask('POST', '/api/board', { name });
export const photos = (part, face, set, what) => ask('POST', '/api/photos', { part, face, set: String(set), do: what });
export const sketchOf = (job) => ask('POST', '/api/sketch', { text: JSON.stringify(job) });
export const runState = () => ask('GET', '/api/run');
export const runDo = (what) => ask('POST', '/api/run', { do: what });
export const getResult = (name) => ask('GET', `/results/${encoded(name)}`);
export const getResultText = async (name) => {
  const reply = await fetch(`/results/${encoded(name)}`);
  if (!reply.ok) throw { problems: [{ what: `${name} cannot be read; work it out again` }] };
  return reply.text();
};
export const resultAddress = (name) => `/results/${encoded(name)}`;
export const getSchema = () => ask('GET', '/job.schema.json');
