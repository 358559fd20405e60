namespace KitMesh.Devices;

/// <summary>Where readers put what they read. Safe for several writers at once.</summary>
public interface ISampleSink
{
    /// <summary>Hands over one sample; waits while the agent's bounded queue is full.</summary>
    /// <param name="sample">The sample.</param>
    /// <param name="stop">Gives up waiting.</param>
    ValueTask WriteAsync(Sample sample, CancellationToken stop);

    /// <summary>Waits until everything written so far would survive a loss of power on this device.</summary>
    /// <param name="stop">Gives up waiting.</param>
    ValueTask FlushAsync(CancellationToken stop);
}
