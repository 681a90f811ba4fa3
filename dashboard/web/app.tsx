import { Wall } from './wall/wall.tsx';

export function App() {
  return <Wall />;
}
