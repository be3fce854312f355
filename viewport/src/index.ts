export { View } from "./view";
