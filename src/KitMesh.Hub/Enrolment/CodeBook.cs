using System.Security.Cryptography;
using System.Text;
using KitMesh.Domain.Reports;
using KitMesh.Protocol.Certificates;

namespace KitMesh.Hub.Enrolment;

/// <summary>The one-time codes that wait to be used.</summary>
/// <remarks>
/// Kept in memory only: a hub that restarts forgets them, and no disk that is lost holds one. Time is machine time, so a
/// wall clock that jumps neither lengthens a code's life nor ends it. Trap: an answer that is lost on a bad link must not
/// cost the code, so the same request again within the code's life gets the same answer; another request never does.
/// </remarks>
internal sealed class CodeBook(TimeProvider machine)
{
    /// <summary>Most codes that wait at once.</summary>
    public const int MaxWaiting = 100;

    /// <summary>Wrong proofs until a code is worthless.</summary>
    public const int MaxWrong = 5;

    private readonly Lock _gate = new();
    private readonly Dictionary<string, Entry> _entries = new(StringComparer.Ordinal);

    /// <summary>The nodes for which a code waits.</summary>
    public IReadOnlyList<NodeId> Waiting
    {
        get
        {
            lock (_gate)
            {
                Prune();
                return [.. _entries.Values.Where(entry => entry.Request is null).Select(entry => entry.Node).Order()];
            }
        }
    }

    /// <summary>Makes a code; one that waited for the same node is worthless from now on.</summary>
    /// <param name="node">The node that may join.</param>
    /// <param name="roles">What it may do.</param>
    /// <param name="life">How long the code may be used.</param>
    /// <param name="forPage">Whether a browser joins with it, by the join page; else a device, by a proof.</param>
    /// <returns>The code; null when too many wait.</returns>
    public EnrolCode? Mint(NodeId node, MeshRoles roles, TimeSpan life, bool forPage = false)
    {
        lock (_gate)
        {
            Prune();
            foreach (string old in _entries.Where(entry => entry.Value.Node == node).Select(entry => entry.Key).ToArray())
            {
                _entries.Remove(old);
            }

            if (_entries.Count >= MaxWaiting)
            {
                return null;
            }

            EnrolCode code;
            do
            {
                code = EnrolCode.From(RandomNumberGenerator.GetBytes(EnrolCode.RandomBytes));
            }
            while (_entries.ContainsKey(code.Name));

            _entries.Add(code.Name, new Entry(code, node, roles, machine.GetTimestamp(), life, forPage));
            return code;
        }
    }

    /// <summary>Takes a proof for a code.</summary>
    /// <param name="name">The code's public part.</param>
    /// <param name="proof">The proof.</param>
    /// <param name="expected">What the proof must be for a code.</param>
    /// <param name="request">Stands for the request: its hash.</param>
    /// <returns>The use of the code; null when there is none, whatever the reason.</returns>
    public Use? Redeem(string name, ReadOnlyMemory<byte> proof, Func<EnrolCode, byte[]> expected, Sha256Hash request)
    {
        lock (_gate)
        {
            Prune();
            if (!_entries.TryGetValue(name, out Entry? entry) || entry.ForPage)
            {
                return null;
            }

            if (!EnrolProof.Agrees(proof.Span, expected(entry.Code)))
            {
                if (++entry.Wrong >= MaxWrong)
                {
                    _entries.Remove(name);
                }

                return null;
            }

            if (entry.Request is { } used && used != request)
            {
                return null;
            }

            entry.Request = request;
            return new Use(this, entry);
        }
    }

    /// <summary>Uses a code up for a browser.</summary>
    /// <param name="typed">The whole code.</param>
    /// <returns>Who joins; null when the code is not valid, whatever the reason.</returns>
    public (NodeId Node, MeshRoles Roles)? RedeemForPage(EnrolCode typed)
    {
        lock (_gate)
        {
            Prune();
            if (!_entries.TryGetValue(typed.Name, out Entry? entry) || !entry.ForPage)
            {
                return null;
            }

            bool isRight = EnrolProof.Agrees(Encoding.ASCII.GetBytes(typed.Reveal()), Encoding.ASCII.GetBytes(entry.Code.Reveal()));
            if (isRight || ++entry.Wrong >= MaxWrong)
            {
                _entries.Remove(typed.Name);
            }

            return isRight ? (entry.Node, entry.Roles) : null;
        }
    }

    private void Prune()
    {
        foreach (string old in _entries.Where(entry => machine.GetElapsedTime(entry.Value.Since) >= entry.Value.Life).Select(entry => entry.Key).ToArray())
        {
            _entries.Remove(old);
        }
    }

    /// <summary>A code in use.</summary>
    internal sealed class Use
    {
        private readonly CodeBook _book;
        private readonly Entry _entry;

        internal Use(CodeBook book, Entry entry)
        {
            _book = book;
            _entry = entry;
        }

        public EnrolCode Code => _entry.Code;

        public NodeId Node => _entry.Node;

        public MeshRoles Roles => _entry.Roles;

        /// <summary>The answer that this very request was given before.</summary>
        public byte[]? Certificate
        {
            get
            {
                lock (_book._gate)
                {
                    return _entry.Certificate;
                }
            }
        }

        /// <summary>It was answered.</summary>
        public void Keep(byte[] certificate)
        {
            lock (_book._gate)
            {
                _entry.Certificate = certificate;
            }
        }

        /// <summary>It could not be answered: the code may be used again.</summary>
        public void Release()
        {
            lock (_book._gate)
            {
                _entry.Request = null;
            }
        }
    }

    internal sealed class Entry(EnrolCode code, NodeId node, MeshRoles roles, long since, TimeSpan life, bool forPage)
    {
        public EnrolCode Code { get; } = code;

        public NodeId Node { get; } = node;

        public MeshRoles Roles { get; } = roles;

        public long Since { get; } = since;

        public TimeSpan Life { get; } = life;

        public bool ForPage { get; } = forPage;

        public int Wrong { get; set; }

        public Sha256Hash? Request { get; set; }

        public byte[]? Certificate { get; set; }
    }
}
