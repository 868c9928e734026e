export function weekView() { return {}; }
