export function aroundView() { return {}; }
