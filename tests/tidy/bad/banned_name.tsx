// as: clients/web/src/utils.tsx
// expect: banned_name=2
interface BoutData { id: number }
type Board = { id: number };
