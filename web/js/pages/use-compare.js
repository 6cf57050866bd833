export async function compareView() { return { nodes: [], shapes: "", period: true }; }
