export async function appSteps() {}
