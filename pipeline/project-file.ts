/** The name of the project file in its folder. By itself, so that who only looks for it loads nothing that reads it. */
export const PROJECT_FILE = 'project.yaml';
