using KitMesh.Simulation;

return new SimulationCommand(Console.Out, Console.Error).Run(args);
