using KitMesh.Disk.Media;

namespace KitMesh.Offload.Engine;

/// <summary>Whether a drive or a card answers: no call to it has been waiting for longer than patience. Drives that take turns on one disk share one.</summary>
/// <param name="time">Machine time.</param>
/// <param name="patience">How long a call may take.</param>
internal sealed class DriveAnswer(TimeProvider time, TimeSpan patience)
{
    private const long None = 0;
    private const long GivenUp = -1;

    private readonly List<Ear> _ears = [];
    private readonly Lock _lock = new();
    private volatile bool _givenUp;

    /// <summary>Gives it up when a call has been waiting for too long: the first call of each thread that returns ends that thread's work.</summary>
    /// <returns>True when it is given up. The thread whose call was found waiting then does nothing more: it was waiting at this very moment.</returns>
    public bool TryGiveUp()
    {
        lock (_lock)
        {
            _givenUp |= _ears.Exists(ear => ear.TryGiveUp());
            return _givenUp;
        }
    }

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

        public bool TryGiveUp() =>
            Volatile.Read(ref _since) is var since and > None && _answer.IsTooLong(since) && Interlocked.CompareExchange(ref _since, GivenUp, since) == since;

        public void Calling() => Volatile.Write(ref _since, Math.Max(None + 1, _answer.Now()));

        public void Returned()
        {
            if (Interlocked.Exchange(ref _since, None) == GivenUp || _answer._givenUp)
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
            Volatile.Write(ref _since, None);
            MediaPulse.Listener = _before;
            lock (_answer._lock)
            {
                _answer._ears.Remove(this);
            }
        }
    }

    private long Now() => time.GetTimestamp();

    private bool IsTooLong(long since) => time.GetElapsedTime(since) > patience;
}
