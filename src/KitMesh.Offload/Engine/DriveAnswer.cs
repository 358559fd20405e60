using KitMesh.Disk.Media;

namespace KitMesh.Offload.Engine;

/// <summary>Whether a drive answers: no call to it has been waiting for longer than patience. Drives that take turns on one disk share one.</summary>
/// <param name="time">Machine time.</param>
/// <param name="patience">How long a call may take.</param>
internal sealed class DriveAnswer(TimeProvider time, TimeSpan patience)
{
    private readonly List<Ear> _ears = [];
    private readonly Lock _lock = new();
    private bool _givenUp;

    /// <summary>Whether a call has been waiting for too long, or did once.</summary>
    public bool IsSilent
    {
        get
        {
            lock (_lock)
            {
                return Volatile.Read(ref _givenUp) || _ears.Exists(ear => ear.Since is var since and not 0 && time.GetElapsedTime(since) > patience);
            }
        }
    }

    /// <summary>Nobody believes any more that it answers: the first call of each thread that returns ends that thread's work.</summary>
    public void GiveUp() => Volatile.Write(ref _givenUp, true);

    /// <summary>Hears of this thread's calls until disposed.</summary>
    /// <param name="throughout">Takes what lies between two calls for a call too, where not all go by way of <see cref="MediaFile"/> and <see cref="MediaFolder"/>.</param>
    public IDisposable Listen(bool throughout = false)
    {
        var ear = new Ear(this, throughout);
        lock (_lock)
        {
            _ears.Add(ear);
        }

        return ear;
    }

    private sealed class Ear : IMediaListener, IDisposable
    {
        private readonly DriveAnswer _answer;
        private readonly bool _throughout;
        private readonly IMediaListener? _before = MediaPulse.Listener;
        private long _since;

        public Ear(DriveAnswer answer, bool throughout)
        {
            _answer = answer;
            _throughout = throughout;
            MediaPulse.Listener = this;
            if (throughout)
            {
                Calling();
            }
        }

        /// <summary>When the call that waits now began; 0 for none.</summary>
        public long Since => Volatile.Read(ref _since);

        public void Calling() => Volatile.Write(ref _since, Math.Max(1, _answer.Now()));

        public void Returned()
        {
            Volatile.Write(ref _since, 0);
            if (Volatile.Read(ref _answer._givenUp))
            {
                throw new DriveGivenUpException();
            }

            if (_throughout)
            {
                Calling();
            }
        }

        public void Dispose()
        {
            Volatile.Write(ref _since, 0);
            MediaPulse.Listener = _before;
            lock (_answer._lock)
            {
                _answer._ears.Remove(this);
            }
        }
    }

    private long Now() => time.GetTimestamp();
}
