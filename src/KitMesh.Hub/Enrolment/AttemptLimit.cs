using System.Net;

namespace KitMesh.Hub.Enrolment;

/// <summary>How often strangers may try: 10 at once and one more every 10 s from one address, 60 and one a second from all.</summary>
/// <remarks>Buckets that fill with machine time. At most 1,024 addresses are told apart; past it, full ones are forgotten first.</remarks>
internal sealed class AttemptLimit(TimeProvider machine)
{
    private const int MaxAddresses = 1_024;
    private static readonly Rate EachAddress = new(10, TimeSpan.FromSeconds(10));
    private static readonly Rate AllTogether = new(60, TimeSpan.FromSeconds(1));
    private readonly Lock _gate = new();
    private readonly Dictionary<IPAddress, Bucket> _addresses = [];
    private readonly Bucket _all = new(AllTogether, machine.GetTimestamp());

    /// <summary>Whether another attempt is allowed; it counts when it is.</summary>
    public bool TryTake(IPAddress? from)
    {
        IPAddress address = from ?? IPAddress.None;
        lock (_gate)
        {
            long now = machine.GetTimestamp();
            if (!_addresses.TryGetValue(address, out Bucket? bucket))
            {
                if (_addresses.Count >= MaxAddresses && !ForgetFull(now))
                {
                    return false;
                }

                _addresses.Add(address, bucket = new Bucket(EachAddress, now));
            }

            return bucket.TryTake(now, machine) && _all.TryTake(now, machine);
        }
    }

    private bool ForgetFull(long now)
    {
        foreach (IPAddress full in _addresses.Where(entry => entry.Value.IsFull(now, machine)).Select(entry => entry.Key).ToArray())
        {
            _addresses.Remove(full);
        }

        return _addresses.Count < MaxAddresses;
    }

    private readonly record struct Rate(int AtOnce, TimeSpan OneMoreEvery);

    private sealed class Bucket(Rate rate, long since)
    {
        private double _left = rate.AtOnce;
        private long _since = since;

        public bool TryTake(long now, TimeProvider machine)
        {
            Fill(now, machine);
            if (_left < 1)
            {
                return false;
            }

            _left--;
            return true;
        }

        public bool IsFull(long now, TimeProvider machine)
        {
            Fill(now, machine);
            return _left >= rate.AtOnce;
        }

        private void Fill(long now, TimeProvider machine)
        {
            _left = Math.Min(rate.AtOnce, _left + (machine.GetElapsedTime(_since, now) / rate.OneMoreEvery));
            _since = now;
        }
    }
}
