namespace KitMesh.Offload.Engine;

/// <summary>Calls to one drive or card that are waited for no longer than patience allows.</summary>
internal sealed class PatientCall : IDisposable
{
    private const int LooksInPatience = 8;

    private readonly DriveAnswer _answer;
    private readonly DriveCaller _caller;
    private readonly ITimer _timer;

    public PatientCall(string name, TimeProvider time, TimeSpan patience)
    {
        _answer = new DriveAnswer(time, patience);
        _caller = new DriveCaller(name, _answer);
        _timer = time.CreateTimer(_ => Look(), null, patience / LooksInPatience, patience / LooksInPatience);
    }

    /// <summary>Does something with it, on a thread of its own.</summary>
    /// <param name="work">What; its faults come out of here.</param>
    /// <param name="throughout">
    /// Takes what lies between two calls for a call too, where not all go by way of <see cref="KitMesh.Disk.Media"/>. Without it
    /// the work has ended, or stands still in one call, when this returns: what it shares may then be used.
    /// </param>
    /// <returns>False when it did not answer, now or once before.</returns>
    public bool Try(Action work, bool throughout = true) => _caller.TryCall(work, throughout);

    /// <inheritdoc/>
    public void Dispose()
    {
        _timer.Dispose();
        _caller.Dispose();
    }

    private void Look()
    {
        if (_answer.TryGiveUp())
        {
            _caller.Dispose();
        }
    }
}
