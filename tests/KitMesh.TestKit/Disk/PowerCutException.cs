namespace KitMesh.TestKit.Disk;

/// <summary>Unwinds the process of a simulated machine whose power is gone.</summary>
public sealed class PowerCutException(DiskStep step) : Exception($"Power cut at step {step.Number}: {step.Kind} {step.Path}")
{
    public DiskStep Step { get; } = step;
}
