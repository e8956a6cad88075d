// as: deploy/sample.mjs
// expect: machine_name=3
const a = '/wo~rk/main';
const b = 'https://registry.np~mjs.org';
const c = 'sha~red/notes';
const d = 'std::shared_ptr';
