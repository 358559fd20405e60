namespace KitMesh.Hub.Enrolment;

/// <summary>The port that the hub really got, once it listens.</summary>
internal sealed class BoundAddress
{
    /// <summary>The port; 0 before it listens.</summary>
    public int Port { get; set; }
}
