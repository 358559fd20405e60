namespace KitMesh.Offload.Engine;

/// <summary>A call to one drive that is waited for no longer than patience allows.</summary>
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

    /// <summary>Does it.</summary>
    /// <param name="work">What; its faults come out of here.</param>
    /// <returns>False when the drive did not answer.</returns>
    public bool Try(Action work) => _caller.TryCall(work);

    /// <inheritdoc/>
    public void Dispose()
    {
        _timer.Dispose();
        _caller.Dispose();
    }

    private void Look()
    {
        if (_answer.IsSilent)
        {
            _answer.GiveUp();
            _caller.Dispose();
        }
    }
}
