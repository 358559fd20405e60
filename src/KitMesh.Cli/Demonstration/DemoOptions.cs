namespace KitMesh.Cli.Demonstration;

/// <summary>How the scenario is played.</summary>
/// <param name="Seed">Seed of weather, loads, footage and faults.</param>
/// <param name="Speed">World seconds in a machine second while nothing is being copied.</param>
/// <param name="Days">Days of the trip that are played; the outlook looks over the rest.</param>
/// <param name="Folder">Where everything is written.</param>
/// <param name="Port">Port of the hub; 0 for any free one.</param>
internal sealed record DemoOptions(ulong Seed, double Speed, int Days, string Folder, int Port);
