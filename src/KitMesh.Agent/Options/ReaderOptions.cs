using KitMesh.Devices;

namespace KitMesh.Agent.Options;

/// <summary>One reader of the agent file.</summary>
/// <param name="Name">Its name, unique in the file.</param>
/// <param name="Kind">Its kind.</param>
/// <param name="Make">Makes it, at each start afresh.</param>
public sealed record ReaderOptions(string Name, string Kind, ReaderFactory Make);
