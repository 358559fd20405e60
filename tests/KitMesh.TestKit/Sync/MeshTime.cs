using NodaTime;

namespace KitMesh.TestKit.Sync;

/// <summary>The one time that passes for all nodes of a test; their clocks may show something else.</summary>
public sealed class MeshTime
{
    public Duration Passed { get; private set; } = Duration.FromSeconds(100);

    public void Pass(Duration duration) => Passed += duration;
}
