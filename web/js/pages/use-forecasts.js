export async function forecastSection() { return []; }
